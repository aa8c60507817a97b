#include "solar/csv_table.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <fstream>
#include <system_error>
#include <utility>

#include "geometry/step_prescan.hpp"

namespace noonshell {

namespace {

bool is_blank(char c) {
    return c == ' ' || c == '\t';
}
bool is_break(char c) {
    return c == '\n' || c == '\r';
}

unsigned byte_of(char c) {
    return static_cast<unsigned char>(c);
}

std::vector<char> as_utf8(std::string_view text) {
    if (is_valid_utf8(text)) return {text.begin(), text.end()};
    std::vector<char> result;
    result.reserve(text.size() + 64);
    for (const char c : text) {
        const unsigned byte = byte_of(c);
        if (byte < 0x80) {
            result.push_back(c);
        } else {  // Latin-1 is the first 256 code points
            result.push_back(static_cast<char>(0xC0u | (byte >> 6)));
            result.push_back(static_cast<char>(0x80u | (byte & 0x3Fu)));
        }
    }
    return result;
}

void require_text(std::string_view text, const std::string& name) {
    const auto fail = [&](const std::string& seen) {
        throw InputError({.file = name, .line = {}, .column = {}, .entity = {}},
                         "comma-separated text", seen);
    };
    if (text.empty()) fail("an empty file");
    if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF")) fail("UTF-16 text");
    if (text.starts_with("PK\x03\x04")) fail("a spreadsheet or zip file");
    const auto odd = std::find_if(text.begin(), text.end(), [](char c) {
        return byte_of(c) < 0x20 && !is_blank(c) && !is_break(c) && c != '\f';
    });
    if (odd != text.end())
        fail("a binary file (byte " + std::to_string(byte_of(*odd)) + " at offset " +
             std::to_string(odd - text.begin()) + ")");
}

/// Walks the text once. Quoted fields are unescaped in place, which only ever shortens them.
class Splitter {
  public:
    Splitter(std::vector<char>& text, const std::string& name, char separator)
        : name_(name), separator_(separator), at_(text.data()), end_(text.data() + text.size()) {}

    bool at_end() const { return at_ == end_; }
    std::size_t line() const { return line_; }

    /// Appends the fields of one row and steps over its line break.
    void row(std::vector<std::string_view>& fields) {
        for (std::size_t column = 0;; ++column) {
            while (at_ != end_ && (blank_here() || is_joined_blank())) ++at_;
            if (column > 0 && by_blanks() && (at_ == end_ || is_break(*at_))) break;
            fields.push_back(at_ != end_ && *at_ == '"' ? quoted(column) : plain());
            if (at_ == end_ || !is_separator(*at_)) break;
            ++at_;
        }
        if (at_ != end_) skip_break();
    }

  private:
    bool by_blanks() const { return separator_ == ' '; }
    bool is_separator(char c) const { return by_blanks() ? is_blank(c) : c == separator_; }
    /// Tabs are no blanks where they separate.
    bool blank_here() const { return is_blank(*at_) && !is_separator(*at_); }
    bool is_joined_blank() const { return by_blanks() && is_blank(*at_); }

    std::string_view plain() {
        const char* begin = at_;
        while (at_ != end_ && !is_separator(*at_) && !is_break(*at_)) ++at_;
        const char* last = at_;
        while (last != begin && is_blank(last[-1])) --last;
        return {begin, static_cast<std::size_t>(last - begin)};
    }

    std::string_view quoted(std::size_t column) {
        const std::size_t first_line = line_;
        char* const begin = ++at_;
        char* out = begin;
        for (;; ++at_) {
            if (at_ == end_) fail(first_line, column, "a closing quote", "the end of the file");
            if (*at_ == '"') {
                if (at_ + 1 == end_ || at_[1] != '"') break;
                ++at_;
            } else if (*at_ == '\n') {
                ++line_;
            }
            *out++ = *at_;
        }
        ++at_;
        while (at_ != end_ && blank_here()) ++at_;
        if (at_ != end_ && !is_separator(*at_) && !is_break(*at_))
            fail(line_, column,
                 separator_ == ',' ? "a comma after the closing quote"
                                   : "a separator after the closing quote",
                 shown_field(character()));
        return {begin, static_cast<std::size_t>(out - begin)};
    }

    /// The whole character at the cursor; the text is UTF-8.
    std::string_view character() const {
        const std::string_view rest(at_, static_cast<std::size_t>(end_ - at_));
        std::size_t length = 1;
        while (length < rest.size() && (byte_of(rest[length]) & 0xC0u) == 0x80u) ++length;
        return rest.substr(0, length);
    }

    void skip_break() {
        if (*at_ == '\r' && at_ + 1 != end_ && at_[1] == '\n') ++at_;
        ++at_;
        ++line_;
    }

    [[noreturn]] void fail(std::size_t line, std::size_t column, const char* expected,
                           std::string seen) const {
        throw InputError({.file = name_, .line = line, .column = column + 1, .entity = {}},
                         expected, std::move(seen));
    }

    const std::string& name_;
    char separator_;
    char* at_;
    char* end_;
    std::size_t line_ = 1;
};

}  // namespace

CsvTable::CsvTable(std::string_view text, std::string name, char separator)
    : name_(std::move(name)) {
    if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
    require_text(text, name_);
    text_ = as_utf8(text);
    Splitter splitter(text_, name_, separator);
    row_begin_.push_back(0);
    while (!splitter.at_end()) {
        row_line_.push_back(splitter.line());
        splitter.row(fields_);
        row_begin_.push_back(fields_.size());
    }
}

bool CsvTable::blank(std::size_t index) const {
    return std::ranges::all_of(row(index), [](std::string_view field) { return field.empty(); });
}

InputPlace CsvTable::place(std::size_t row, std::size_t column, std::string entity) const {
    return {.file = name_, .line = line(row), .column = column + 1, .entity = std::move(entity)};
}

std::string read_text_file(const std::filesystem::path& file, std::size_t max_bytes) {
    const std::string name = file.string();
    const auto fail = [&](const char* expected, const std::string& seen) {
        throw InputError({.file = name, .line = {}, .column = {}, .entity = {}}, expected, seen);
    };
    std::error_code error;
    if (std::filesystem::is_directory(file, error)) fail("a file", "a folder");
    if (!std::filesystem::exists(file, error)) fail("a file", "nothing of that name");
    std::ifstream in(file, std::ios::binary);
    if (!in) fail("a readable file", "one that cannot be opened");
    std::string text;
    std::vector<char> block(1u << 20);
    while (in.read(block.data(), static_cast<std::streamsize>(block.size())), in.gcount() > 0) {
        text.append(block.data(), static_cast<std::size_t>(in.gcount()));
        if (text.size() > max_bytes)
            fail("a table in text", "more than " + std::to_string(max_bytes) + " bytes");
    }
    if (in.bad()) fail("a readable file", "an error while reading");
    return text;
}

CsvTable read_csv_table(const std::filesystem::path& file, std::size_t max_bytes) {
    return CsvTable(read_text_file(file, max_bytes), file.string());
}

char likely_separator(std::string_view text) {
    constexpr std::string_view candidates = ";\t,";
    constexpr std::size_t looked_at = 50;
    std::array<std::size_t, candidates.size()> lines{};
    for (std::size_t n = 0; n < looked_at && !text.empty(); ++n) {
        const std::string_view line = text.substr(0, text.find_first_of("\r\n"));
        for (std::size_t i = 0; i < candidates.size(); ++i)
            if (line.find(candidates[i]) != std::string_view::npos) ++lines[i];
        text.remove_prefix(std::min(line.size() + 1, text.size()));
    }
    const auto most = std::ranges::max_element(lines);
    return *most > 0 ? candidates[static_cast<std::size_t>(most - lines.begin())] : ',';
}

std::optional<double> parse_csv_number(std::string_view field) {
    if (field.starts_with('+') && !field.starts_with("+-")) field.remove_prefix(1);
    double value = 0;
    const char* const end = field.data() + field.size();
    const auto [stop, error] = std::from_chars(field.data(), end, value);
    if (error != std::errc{} || stop != end || !std::isfinite(value)) return std::nullopt;
    return value;
}

std::string on_one_line(std::string_view field) {
    std::string text(field);
    std::ranges::replace_if(
        text, [](char c) { return byte_of(c) < 0x20 || byte_of(c) == 0x7F; }, ' ');
    return text;
}

std::string shown_field(std::string_view field) {
    if (field.empty()) return "nothing";
    constexpr std::size_t longest = 40;
    std::size_t length = std::min(field.size(), longest);
    // Never cut inside a character.
    while (length < field.size() && length > 0 && (byte_of(field[length]) & 0xC0u) == 0x80u)
        --length;
    const std::string text = on_one_line(field.substr(0, length));
    return '"' + text + (length < field.size() ? "...\"" : "\"");
}

}  // namespace noonshell
