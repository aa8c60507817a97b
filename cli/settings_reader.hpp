// Reads the values of one table that may be left out, and records each with its origin.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "cli/input_ledger.hpp"
#include "cli/toml_reader.hpp"

namespace noonshell {

class SettingsReader {
  public:
    /// `table` may be absent: then every value is its default. `path` is its dotted name.
    SettingsReader(std::optional<TomlTable> table, std::string path,
                   std::vector<InputRecord>& inputs);

    const std::optional<TomlTable>& table() const { return table_; }
    bool has(std::string_view key) const { return table_ && table_->has(key); }

    /// The value in the file, else `fallback`, whose `source` says why it is what it is.
    double number(std::string_view key, const NumberRange& range, double fallback,
                  std::string_view source);
    std::int64_t whole(std::string_view key, std::int64_t low, std::int64_t high,
                       std::int64_t fallback, std::string_view source);
    bool boolean(std::string_view key, bool fallback, std::string_view source);
    std::string text(std::string_view key, std::string_view fallback, std::string_view source);
    std::string choice(std::string_view key, std::span<const std::string_view> words,
                       std::string_view fallback, std::string_view source);
    std::vector<std::string> texts(std::string_view key, std::vector<std::string> fallback,
                                   std::string_view source);

    /// Values without a default; recorded only when they are there.
    std::optional<double> number(std::string_view key, const NumberRange& range);
    std::optional<std::string> text(std::string_view key);

    /// A number that the table must have. Throws InputError when it is absent.
    double needed_number(std::string_view key, const NumberRange& range);
    std::string needed_text(std::string_view key);

    /// Records a value that was read by other means.
    void record(std::string_view key, InputValue value);
    void record_default(std::string_view key, InputValue value, std::string_view source);

  private:
    template <class T>
    T settle(std::string_view key, std::optional<T> value, T fallback, std::string_view source);

    std::optional<TomlTable> table_;
    std::string path_;
    std::vector<InputRecord>& inputs_;
};

}  // namespace noonshell
