// Runs work that may crash or hang in a process of its own.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <stdexcept>
#include <string>

namespace noonshell {

/// The child ended without handing back its bytes; the message says how, in plain words.
class ChildFailure : public std::runtime_error {
  public:
    ChildFailure(const std::string& how, bool crashed)
        : std::runtime_error(how), crashed_(crashed) {}
    /// By a fault of its work, not by a limit that was set to it.
    bool crashed() const { return crashed_; }

  private:
    bool crashed_;
};

/// What a child may use before it is stopped.
struct ChildLimits {
    double time_s = 900;
    std::uint64_t memory_bytes = 0;  ///< of address space beyond what this process has; 0: no limit
};

/// Writes in plain words, closed by a zero, what the child is at. Called in the child when it
/// crashes or is stopped: it must neither allocate nor lock.
using LastWords = void (*)(char* text, std::size_t size);

/// True in a child that came near its memory limit, whatever went wrong then: libraries seldom say
/// that they were refused memory. Neither allocates nor locks.
bool memory_was_short();

/// Runs `work` in a copy of this process and returns the bytes that it returns. Whatever the child
/// prints is lost. `work` must not throw. Throws ChildFailure when the child crashes or takes
/// longer than its time, with its last words; std::system_error when no child can be started.
std::string run_in_child(const std::function<std::string()>& work, const ChildLimits& limits,
                         LastWords last_words = nullptr);

}  // namespace noonshell
