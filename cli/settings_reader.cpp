#include "cli/settings_reader.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <utility>

namespace noonshell {

namespace {

/// Without the folder: results shall not depend on where the file was called from.
std::string in_words(const InputPlace& place) {
    std::string name = std::filesystem::path(place.file).filename().string();
    if (!place.line) return name;
    return fmt::format("{}:{}:{}", name, *place.line, place.column.value_or(1));
}

InputValue as_input(std::int64_t value) {
    return static_cast<double>(value);
}
template <class T>
InputValue as_input(const T& value) {
    return value;
}

}  // namespace

SettingsReader::SettingsReader(std::optional<TomlTable> table, std::string path,
                               std::vector<InputRecord>& inputs)
    : table_(std::move(table)), path_(std::move(path)), inputs_(inputs) {}

void SettingsReader::record(std::string_view key, InputValue value) {
    inputs_.push_back({path_ + "." + std::string(key), std::move(value), InputOrigin::site_file,
                       table_ ? in_words(table_->place(key)) : ""});
}

void SettingsReader::record_default(std::string_view key, InputValue value,
                                    std::string_view source) {
    inputs_.push_back({path_ + "." + std::string(key), std::move(value), InputOrigin::by_default,
                       std::string(source)});
}

template <class T>
T SettingsReader::settle(std::string_view key, std::optional<T> value, T fallback,
                         std::string_view source) {
    if (value)
        record(key, as_input(*value));
    else
        record_default(key, as_input(fallback), source);
    return value ? std::move(*value) : std::move(fallback);
}

double SettingsReader::number(std::string_view key, const NumberRange& range, double fallback,
                              std::string_view source) {
    return settle(key, table_ ? table_->number(key, range) : std::nullopt, fallback, source);
}

std::int64_t SettingsReader::whole(std::string_view key, std::int64_t low, std::int64_t high,
                                   std::int64_t fallback, std::string_view source) {
    return settle(key, table_ ? table_->whole(key, low, high) : std::nullopt, fallback, source);
}

bool SettingsReader::boolean(std::string_view key, bool fallback, std::string_view source) {
    return settle(key, table_ ? table_->boolean(key) : std::nullopt, fallback, source);
}

std::string SettingsReader::text(std::string_view key, std::string_view fallback,
                                 std::string_view source) {
    return settle(key, table_ ? table_->text(key) : std::nullopt, std::string(fallback), source);
}

std::string SettingsReader::choice(std::string_view key, std::span<const std::string_view> words,
                                   std::string_view fallback, std::string_view source) {
    return settle(key, table_ ? table_->choice(key, words) : std::nullopt, std::string(fallback),
                  source);
}

std::vector<std::string> SettingsReader::texts(std::string_view key,
                                               std::vector<std::string> fallback,
                                               std::string_view source) {
    return settle(key, table_ ? table_->texts(key) : std::nullopt, std::move(fallback), source);
}

std::optional<double> SettingsReader::number(std::string_view key, const NumberRange& range) {
    std::optional<double> value = table_ ? table_->number(key, range) : std::nullopt;
    if (value) record(key, *value);
    return value;
}

std::optional<std::string> SettingsReader::text(std::string_view key) {
    std::optional<std::string> value = table_ ? table_->text(key) : std::nullopt;
    if (value) record(key, *value);
    return value;
}

double SettingsReader::needed_number(std::string_view key, const NumberRange& range) {
    const std::optional<double> value = number(key, range);
    if (!value) throw table_->missing(key, range.text());
    return *value;
}

std::string SettingsReader::needed_text(std::string_view key) {
    std::optional<std::string> value = text(key);
    if (!value) throw table_->missing(key, "text");
    return std::move(*value);
}

}  // namespace noonshell
