// A TOML document read with care: every key must be known, every value has a type and a range, and
// every complaint names line and column. No type of the TOML library appears here.
#pragma once

#include <cstdint>
#include <filesystem>
#include <limits>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "cli/input_ledger.hpp"
#include "geometry/diagnostics.hpp"

namespace noonshell {

/// Numbers that a key may hold; NaN and infinity are never allowed.
struct NumberRange {
    double low = -std::numeric_limits<double>::infinity();
    double high = std::numeric_limits<double>::infinity();
    bool low_open = false;  ///< `low` itself is not allowed

    static NumberRange above(double low) { return {low, NumberRange{}.high, true}; }
    static NumberRange above_up_to(double low, double high) { return {low, high, true}; }
    static NumberRange from(double low) { return {low, NumberRange{}.high, false}; }
    static NumberRange between(double low, double high) { return {low, high, false}; }

    bool holds(double value) const;
    std::string text() const;  ///< "a number above 0", "a number from -90 to 90"
};

struct TomlDocument;

/// One table of the document. A view: the document lives as long as any of its tables. All readers
/// return nothing when the key is absent and throw InputError with the value's line and column when
/// it does not fit.
class TomlTable {
  public:
    const std::string& path() const { return path_; }  ///< dotted; empty for the root
    bool has(std::string_view key) const;
    bool is_array(std::string_view key) const;

    std::optional<double> number(std::string_view key, const NumberRange& range) const;
    std::optional<std::int64_t> whole(std::string_view key, std::int64_t low,
                                      std::int64_t high) const;
    std::optional<bool> boolean(std::string_view key) const;
    std::optional<std::string> text(std::string_view key) const;  ///< not blank
    std::optional<std::string> choice(std::string_view key,
                                      std::span<const std::string_view> words) const;
    std::optional<std::vector<std::string>> texts(std::string_view key) const;
    std::optional<std::vector<double>> numbers(std::string_view key, std::size_t count,
                                               const NumberRange& range) const;
    /// The same with at least `least` and at most `most` numbers.
    std::optional<std::vector<double>> numbers(std::string_view key, std::size_t least,
                                               std::size_t most, const NumberRange& range) const;
    std::optional<TomlTable> table(std::string_view key,
                                   std::span<const std::string_view> known) const;
    /// An array of tables; empty when absent.
    std::vector<TomlTable> tables(std::string_view key,
                                  std::span<const std::string_view> known) const;

    /// Throws when two of the keys are present.
    void at_most_one_of(std::span<const std::string_view> keys) const;

    std::string full_key(std::string_view key) const;  ///< "site.latitude_deg"
    InputPlace place() const;                          ///< of the table itself
    InputPlace place(std::string_view key) const;  ///< of the value, or of the table when absent
    InputError error(std::string_view key, std::string expected, std::string seen) const;
    InputError missing(std::string_view key, std::string expected) const;

    /// The opaque pointer of the TOML library's table; for the .cpp only.
    TomlTable(std::shared_ptr<const TomlDocument> document, const void* table, std::string path);

  private:
    void require_known(std::span<const std::string_view> known) const;
    InputPlace place_of(const void* node, std::string_view key) const;
    friend TomlTable parse_toml(const std::string&, const std::string&,
                                std::span<const std::string_view>);

    std::shared_ptr<const TomlDocument> document_;
    const void* table_;
    std::string path_;
};

/// Parses `content`; `name` stands for the file in messages, `known` are the keys of the root.
TomlTable parse_toml(const std::string& content, const std::string& name,
                     std::span<const std::string_view> known);

/// Reads and parses a file. Throws InputError when it is missing, no regular file, unreadable,
/// larger than 16 MiB, or not TOML.
TomlTable read_toml(const std::filesystem::path& file, std::span<const std::string_view> known);

}  // namespace noonshell
