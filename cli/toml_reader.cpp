#include "cli/toml_reader.hpp"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <cerrno>
#include <cmath>
#include <fstream>
#include <sstream>
#include <system_error>
#include <utility>

#include "cli/utf8.hpp"
#include "geometry/nearest_key.hpp"

namespace noonshell {

struct TomlDocument {
    std::string name;
    toml::table root;
};

namespace {

constexpr std::uintmax_t largest_file_bytes = 16u << 20;
constexpr std::size_t longest_shown_value = 60;

const toml::table& as_table(const void* table) {
    return *static_cast<const toml::table*>(table);
}

std::string type_name(const toml::node& node) {
    switch (node.type()) {
        case toml::node_type::table:
            return "a table";
        case toml::node_type::array:
            return "an array";
        case toml::node_type::string:
            return "text";
        case toml::node_type::integer:
            return "a whole number";
        case toml::node_type::floating_point:
            return "a number";
        case toml::node_type::boolean:
            return "true or false";
        case toml::node_type::date:
            return "a date";
        case toml::node_type::time:
            return "a time";
        case toml::node_type::date_time:
            return "a date and time";
        case toml::node_type::none:
            break;
    }
    return "nothing";
}

/// 7.0 stays 7.0: where a whole number is wanted, the point is what is wrong.
std::string with_point(const std::string& number) {
    const bool whole = number.find_first_not_of("-0123456789") == std::string::npos;
    return whole ? number + ".0" : number;
}

/// The value as the user wrote it, on one line; long ones and containers by their type.
std::string shown(const toml::node& node) {
    if (node.is_table()) return type_name(node);
    if (const auto* array = node.as_array())
        return fmt::format("an array of {} value{}", array->size(), array->size() == 1 ? "" : "s");
    if (const auto* text = node.as_string()) {
        std::string value = printable(text->get());
        if (value.size() > longest_shown_value) return "a longer text";
        return "\"" + value + "\"";
    }
    std::ostringstream out;
    node.visit([&out](const auto& value) {
        if constexpr (toml::is_integer<decltype(value)>)
            out << value.get();
        else if constexpr (toml::is_floating_point<decltype(value)>)
            out << with_point(fmt::format("{}", value.get()));
        else if constexpr (toml::is_boolean<decltype(value)>)
            out << (value.get() ? "true" : "false");
    });
    const std::string text = out.str();
    return text.empty() ? type_name(node) : text;
}

std::optional<double> as_number(const toml::node& node) {
    if (const auto* whole = node.as_integer()) return static_cast<double>(whole->get());
    if (const auto* number = node.as_floating_point()) return number->get();
    return std::nullopt;
}

std::string in_words(std::span<const std::string_view> words) {
    return fmt::format("one of \"{}\"", fmt::join(words, "\", \""));
}

/// The library says "Error while parsing key-value pair: expected '=', saw 'i'": the same in the
/// order of our messages.
InputError toml_fault(InputPlace place, std::string description) {
    constexpr std::string_view opening = "Error while parsing ", wants = "expected ",
                               sees = ", saw ";
    std::string inside;
    const std::size_t colon = description.find(": ");
    if (description.rfind(opening, 0) == 0 && colon != std::string::npos) {
        inside = " in a " + description.substr(opening.size(), colon - opening.size());
        description = description.substr(colon + 2);
    }
    const std::size_t middle = description.find(sees);
    if (description.rfind(wants, 0) != 0 || middle == std::string::npos)
        return InputError(std::move(place), "TOML", "a fault" + inside + ": " + description);
    return InputError(std::move(place),
                      description.substr(wants.size(), middle - wants.size()) + inside,
                      description.substr(middle + sees.size()));
}

}  // namespace

bool NumberRange::holds(double value) const {
    return std::isfinite(value) && (low_open ? value > low : value >= low) && value <= high;
}

std::string NumberRange::text() const {
    const bool has_low = std::isfinite(low), has_high = std::isfinite(high);
    if (has_low && has_high)
        return low_open ? fmt::format("a number above {} and up to {}", low, high)
                        : fmt::format("a number from {} to {}", low, high);
    if (has_low)
        return low_open ? fmt::format("a number above {}", low)
                        : fmt::format("a number of {} or more", low);
    return has_high ? fmt::format("a number of at most {}", high) : "a finite number";
}

TomlTable::TomlTable(std::shared_ptr<const TomlDocument> document, const void* table,
                     std::string path)
    : document_(std::move(document)), table_(table), path_(std::move(path)) {}

std::string TomlTable::full_key(std::string_view key) const {
    return path_.empty() ? std::string(key) : path_ + "." + std::string(key);
}

InputPlace TomlTable::place_of(const void* node, std::string_view key) const {
    InputPlace place{document_->name, {}, {}, key.empty() ? path_ : full_key(key)};
    const toml::source_position begin = static_cast<const toml::node*>(node)->source().begin;
    if (begin) {
        place.line = begin.line;
        place.column = begin.column;
    }
    return place;
}

InputPlace TomlTable::place() const {
    return place_of(static_cast<const toml::node*>(&as_table(table_)), "");
}

InputPlace TomlTable::place(std::string_view key) const {
    const toml::node* node = as_table(table_).get(key);
    return place_of(node ? node : static_cast<const toml::node*>(&as_table(table_)), key);
}

InputError TomlTable::error(std::string_view key, std::string expected, std::string seen) const {
    return InputError(place(key), std::move(expected), std::move(seen));
}

InputError TomlTable::missing(std::string_view key, std::string expected) const {
    return InputError(place(key), std::move(expected), "nothing");
}

bool TomlTable::has(std::string_view key) const {
    return as_table(table_).contains(key);
}

bool TomlTable::is_array(std::string_view key) const {
    const toml::node* node = as_table(table_).get(key);
    return node && node->is_array();
}

void TomlTable::require_known(std::span<const std::string_view> known) const {
    // The first unknown key in the order of the file, whatever the order of the library's map.
    std::optional<InputPlace> first;
    std::string name;
    for (const auto& [key, node] : as_table(table_)) {
        if (std::find(known.begin(), known.end(), key.str()) != known.end()) continue;
        InputPlace at = place_of(static_cast<const toml::node*>(&node), "");
        at.line = key.source().begin.line;
        at.column = key.source().begin.column;
        if (first && std::pair(first->line, first->column) < std::pair(at.line, at.column))
            continue;
        name = printable(key.str());
        at.entity = path_.empty() ? "" : "[" + path_ + "]";
        first = at;
    }
    if (!first) return;
    throw InputError(*first, fmt::format("a known key (nearest: \"{}\")", nearest_key(name, known)),
                     fmt::format("unknown key \"{}\"", name));
}

std::optional<double> TomlTable::number(std::string_view key, const NumberRange& range) const {
    const toml::node* node = as_table(table_).get(key);
    if (!node) return std::nullopt;
    const std::optional<double> value = as_number(*node);
    if (!value || !range.holds(*value)) throw error(key, range.text(), shown(*node));
    return value;
}

std::optional<std::int64_t> TomlTable::whole(std::string_view key, std::int64_t low,
                                             std::int64_t high) const {
    const toml::node* node = as_table(table_).get(key);
    if (!node) return std::nullopt;
    const auto* value = node->as_integer();
    if (!value || value->get() < low || value->get() > high)
        throw error(key, fmt::format("a whole number from {} to {}", low, high), shown(*node));
    return value->get();
}

std::optional<bool> TomlTable::boolean(std::string_view key) const {
    const toml::node* node = as_table(table_).get(key);
    if (!node) return std::nullopt;
    const auto* value = node->as_boolean();
    if (!value) throw error(key, "true or false", shown(*node));
    return value->get();
}

std::optional<std::string> TomlTable::text(std::string_view key) const {
    const toml::node* node = as_table(table_).get(key);
    if (!node) return std::nullopt;
    const auto* value = node->as_string();
    if (!value || value->get().find_first_not_of(" \t\r\n") == std::string::npos)
        throw error(key, "text that is not blank", shown(*node));
    return value->get();
}

std::optional<std::string> TomlTable::choice(std::string_view key,
                                             std::span<const std::string_view> words) const {
    const toml::node* node = as_table(table_).get(key);
    if (!node) return std::nullopt;
    const auto* value = node->as_string();
    if (value && std::find(words.begin(), words.end(), value->get()) != words.end())
        return value->get();
    throw error(key, in_words(words), shown(*node));
}

std::optional<std::vector<std::string>> TomlTable::texts(std::string_view key) const {
    const toml::node* node = as_table(table_).get(key);
    if (!node) return std::nullopt;
    const auto* array = node->as_array();
    if (!array) throw error(key, "an array of texts", shown(*node));
    std::vector<std::string> values;
    for (const toml::node& entry : *array) {
        const auto* value = entry.as_string();
        if (!value || value->get().empty())
            throw InputError(place_of(&entry, key), "an array of texts", shown(entry));
        values.push_back(value->get());
    }
    return values;
}

std::optional<std::vector<double>> TomlTable::numbers(std::string_view key, std::size_t count,
                                                      const NumberRange& range) const {
    return numbers(key, count, count, range);
}

std::optional<std::vector<double>> TomlTable::numbers(std::string_view key, std::size_t least,
                                                      std::size_t most,
                                                      const NumberRange& range) const {
    const toml::node* node = as_table(table_).get(key);
    if (!node) return std::nullopt;
    const auto* array = node->as_array();
    if (!array || array->size() < least || array->size() > most) {
        const std::string count =
            least == most ? fmt::format("{}", least) : fmt::format("{} to {}", least, most);
        throw error(key, fmt::format("an array of {} numbers", count), shown(*node));
    }
    std::vector<double> values;
    for (const toml::node& entry : *array) {
        const std::optional<double> value = as_number(entry);
        if (!value || !range.holds(*value))
            throw InputError(place_of(&entry, key), range.text(), shown(entry));
        values.push_back(*value);
    }
    return values;
}

std::optional<TomlTable> TomlTable::table(std::string_view key,
                                          std::span<const std::string_view> known) const {
    const toml::node* node = as_table(table_).get(key);
    if (!node) return std::nullopt;
    const toml::table* inner = node->as_table();
    if (!inner) throw error(key, fmt::format("a table [{}]", full_key(key)), shown(*node));
    TomlTable view(document_, inner, full_key(key));
    view.require_known(known);
    return view;
}

std::vector<TomlTable> TomlTable::tables(std::string_view key,
                                         std::span<const std::string_view> known) const {
    const toml::node* node = as_table(table_).get(key);
    if (!node) return {};
    const toml::array* array = node->as_array();
    if (!array) throw error(key, fmt::format("tables [[{}]]", full_key(key)), shown(*node));
    std::vector<TomlTable> views;
    for (const toml::node& entry : *array) {
        const toml::table* inner = entry.as_table();
        if (!inner) {
            throw InputError(place_of(&entry, key), "a table", shown(entry));
        }
        views.emplace_back(document_, inner,
                           fmt::format("{}[{}]", full_key(key), views.size() + 1));
        views.back().require_known(known);
    }
    return views;
}

void TomlTable::at_most_one_of(std::span<const std::string_view> keys) const {
    std::string_view first;
    for (const std::string_view key : keys) {
        if (!has(key)) continue;
        if (!first.empty())
            throw error(key, in_words(keys), fmt::format("both \"{}\" and \"{}\"", first, key));
        first = key;
    }
}

TomlTable parse_toml(const std::string& content, const std::string& name,
                     std::span<const std::string_view> known) {
    auto document = std::make_shared<TomlDocument>();
    document->name = name;
    try {
        document->root = toml::parse(content, name);
    } catch (const toml::parse_error& error) {
        const toml::source_position at = error.source().begin;
        throw toml_fault({name, at.line, at.column, ""},
                         printable(std::string(error.description())));
    }
    const toml::table& table = document->root;
    TomlTable root(std::move(document), &table, "");
    root.require_known(known);
    return root;
}

TomlTable read_toml(const std::filesystem::path& file, std::span<const std::string_view> known) {
    const std::string name = printable(file.string());
    const auto refuse = [&name](const std::string& seen) {
        return InputError({name, {}, {}, ""}, "a readable site file (TOML)", seen);
    };
    std::error_code code;
    const std::filesystem::file_status status = std::filesystem::status(file, code);
    if (status.type() == std::filesystem::file_type::not_found) throw refuse("no such file");
    if (status.type() == std::filesystem::file_type::directory) throw refuse("a folder");
    if (status.type() != std::filesystem::file_type::regular)
        throw refuse(code ? code.message() : "something that is no regular file");
    if (std::filesystem::file_size(file, code) > largest_file_bytes || code)
        throw refuse(code ? code.message() : "more than 16 MiB");
    std::ifstream stream(file, std::ios::binary);
    std::ostringstream content;
    if (!stream) throw refuse(std::generic_category().message(errno));
    // An empty file is a valid document, but inserting nothing would set the fail bit.
    if (stream.peek() != std::ifstream::traits_type::eof()) content << stream.rdbuf();
    if (stream.bad() || content.fail()) throw refuse("an error while reading");
    if (content.str().starts_with("ISO-10303-21"))
        throw refuse("a STEP file; `inspect` reads it, and a site file names it as [model] file");
    return parse_toml(content.str(), name, known);
}

}  // namespace noonshell
