// The three tiers of error: bad input (typed exceptions), numerical outcome (warnings carried in
// results), broken invariant (always-on check). Libraries never print and never exit.
#pragma once

#include <cstddef>
#include <optional>
#include <sstream>
#include <stdexcept>
#include <string>
#include <string_view>

namespace noonshell {

/// Something the user should know although the run goes on. `code` is stable and kebab-case.
struct Warning {
    std::string code;
    std::string text;
    std::string where;  ///< file, line, body, surface or hour; may be empty
};

/// Where in the user's input something was seen. Empty parts are left out of the message.
struct InputPlace {
    std::string file{};
    std::optional<std::size_t> line{};    ///< 1-based
    std::optional<std::size_t> column{};  ///< 1-based; for a CSV file the field number
    std::string entity{};                 ///< STEP entity, body, key or column name
};

/// Input that cannot be read or is out of range. The message is one line:
/// "<file>:<line>:<column>: <entity>: expected <expected>, saw <seen>".
class InputError : public std::runtime_error {
  public:
    InputError(InputPlace place, std::string expected, std::string seen);

    const InputPlace& place() const { return place_; }
    const std::string& expected() const { return expected_; }
    const std::string& seen() const { return seen_; }

  private:
    InputPlace place_;
    std::string expected_;
    std::string seen_;
};

/// A readable model in which no body can serve as a unit.
class NoUnitError : public std::runtime_error {
  public:
    using std::runtime_error::runtime_error;
};

/// A computation that did not converge; the message names the quantity, the step and the residual.
class ConvergenceError : public std::runtime_error {
  public:
    using std::runtime_error::runtime_error;
};

/// Thrown when the caller's stop flag was raised; nothing has been written.
class Interrupted : public std::runtime_error {
  public:
    Interrupted() : std::runtime_error("interrupted") {}
};

/// Raised by a broken invariant: a fault of this program, never of its input.
class InvariantError : public std::logic_error {
  public:
    using std::logic_error::logic_error;
};

[[noreturn]] void throw_invariant(std::string_view file, int line, std::string_view condition,
                                  const std::string& values);

}  // namespace noonshell

/// Always-on check of an invariant that compares two values and prints both when it fails.
#define NOONSHELL_CHECK_OP(op, a, b)                                            \
    do {                                                                        \
        const auto& check_a_ = (a);                                             \
        const auto& check_b_ = (b);                                             \
        if (!(check_a_ op check_b_)) {                                          \
            std::ostringstream check_text_;                                     \
            check_text_ << check_a_ << " against " << check_b_;                 \
            ::noonshell::throw_invariant(__FILE__, __LINE__, #a " " #op " " #b, \
                                         check_text_.str());                    \
        }                                                                       \
    } while (false)
#define NOONSHELL_CHECK_EQ(a, b) NOONSHELL_CHECK_OP(==, a, b)
#define NOONSHELL_CHECK_LT(a, b) NOONSHELL_CHECK_OP(<, a, b)
#define NOONSHELL_CHECK_LE(a, b) NOONSHELL_CHECK_OP(<=, a, b)
#define NOONSHELL_CHECK_GT(a, b) NOONSHELL_CHECK_OP(>, a, b)
#define NOONSHELL_CHECK_GE(a, b) NOONSHELL_CHECK_OP(>=, a, b)
