#include "geometry/step_records.hpp"

#include <cctype>
#include <charconv>

namespace noonshell {

namespace {

/// A value inside a value inside a value...: no sound file goes nearly as deep.
constexpr int deepest = 64;

bool is_word(char c) {
    return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_';
}

/// Moves over blanks and comments.
void skip_blanks(std::string_view text, std::size_t& i) {
    while (i < text.size()) {
        if (std::isspace(static_cast<unsigned char>(text[i])) != 0) {
            ++i;
        } else if (text.substr(i, 2) == "/*") {
            const auto end = text.find("*/", i + 2);
            i = end == text.npos ? text.size() : end + 2;
        } else {
            return;
        }
    }
}

/// End of the quoted text that starts at `i`: one past its last quote. A doubled quote is two
/// texts side by side to this, which comes to the same.
std::size_t end_of_quoted(std::string_view text, std::size_t i) {
    const auto end = text.find('\'', i + 1);
    return end == text.npos ? text.size() : end + 1;
}

class Parser {
  public:
    explicit Parser(std::string_view text) : text_(text) {}

    StepValue value(int depth = 0) {
        StepValue out;
        skip_blanks(text_, i_);
        if (i_ >= text_.size() || depth > deepest) return out;
        const char c = text_[i_];
        if (c == '(') {
            out.kind = StepValue::Kind::list;
            out.items = list(depth);
        } else if (c == '\'') {
            quoted(out);
        } else if (c == '#') {
            ++i_;
            out.kind = StepValue::Kind::reference;
            number(out.reference);
        } else if (c == '.' && i_ + 1 < text_.size() && is_word(text_[i_ + 1]) &&
                   std::isdigit(static_cast<unsigned char>(text_[i_ + 1])) == 0) {
            ++i_;
            out.kind = StepValue::Kind::enumeration;
            out.text = word();
            if (i_ < text_.size()) ++i_;
        } else if (std::isalpha(static_cast<unsigned char>(c)) != 0) {
            typed(out, depth);
        } else if (c == '$' || c == '*') {
            ++i_;
        } else {
            if (c == '+') ++i_;
            if (number(out.number)) out.kind = StepValue::Kind::number;
        }
        return out;
    }

  private:
    std::string word() {
        const auto begin = i_;
        while (i_ < text_.size() && is_word(text_[i_])) ++i_;
        return std::string(text_.substr(begin, i_ - begin));
    }

    template <class Number>
    bool number(Number& out) {
        const char* begin = text_.data() + i_;
        const auto result = std::from_chars(begin, text_.data() + text_.size(), out);
        i_ += static_cast<std::size_t>(result.ptr - begin);
        return result.ec == std::errc{};
    }

    void quoted(StepValue& out) {
        out.kind = StepValue::Kind::text;
        do {
            const auto end = end_of_quoted(text_, i_);
            if (!out.text.empty()) out.text += '\'';
            out.text += text_.substr(i_ + 1, end > i_ + 1 ? end - i_ - 2 : 0);
            i_ = end;
        } while (i_ < text_.size() && text_[i_] == '\'');
    }

    void typed(StepValue& out, int depth) {
        out.kind = StepValue::Kind::typed;
        out.text = word();
        skip_blanks(text_, i_);
        if (i_ < text_.size() && text_[i_] == '(') out.items = list(depth);
    }

    /// From '(' to the matching ')'. Parameters are divided by commas; the entities of a joined
    /// record by blanks only.
    std::vector<StepValue> list(int depth) {
        std::vector<StepValue> items;
        ++i_;
        while (true) {
            skip_blanks(text_, i_);
            if (i_ >= text_.size()) return items;
            if (text_[i_] == ')') {
                ++i_;
                return items;
            }
            const auto before = i_;
            if (text_[i_] == ',') {
                ++i_;
                continue;
            }
            items.push_back(value(depth + 1));
            if (i_ == before) ++i_;  // a stray character
        }
    }

    std::string_view text_;
    std::size_t i_ = 0;
};

const StepValue& missing() {
    static const StepValue none;
    return none;
}

/// True when `keyword` stands in `body` as a whole word outside quoted text, before a '('.
bool holds(std::string_view body, std::string_view keyword) {
    for (auto at = body.find(keyword); at != body.npos; at = body.find(keyword, at + 1)) {
        std::size_t after = at + keyword.size();
        if (at > 0 && (is_word(body[at - 1]) || body[at - 1] == '\'')) continue;
        if (after < body.size() && is_word(body[after])) continue;
        skip_blanks(body, after);
        if (after < body.size() && body[after] == '(') return true;
    }
    return false;
}

}  // namespace

const StepValue& StepValue::at(std::size_t i) const {
    return i < items.size() ? items[i] : missing();
}

const StepValue& StepValue::entity(std::string_view keyword) const {
    if (is(keyword)) return *this;
    if (kind == Kind::list) {
        for (const StepValue& item : items) {
            if (item.is(keyword)) return item;
        }
    }
    return missing();
}

std::size_t StepRecords::end_of_record(std::string_view text, std::size_t i) {
    while (i < text.size() && text[i] != ';') {
        if (text[i] == '\'') {
            i = end_of_quoted(text, i);
        } else if (text.substr(i, 2) == "/*") {
            skip_blanks(text, i);
        } else {
            ++i;
        }
    }
    return i;
}

StepRecords::StepRecords(std::string_view text) {
    std::size_t i = 0;
    while (i < text.size()) {
        skip_blanks(text, i);
        const auto end = end_of_record(text, i);
        if (i < text.size() && text[i] == '#') {
            std::uint32_t number = 0;
            const auto parsed =
                std::from_chars(text.data() + i + 1, text.data() + text.size(), number);
            auto after = static_cast<std::size_t>(parsed.ptr - text.data());
            skip_blanks(text, after);
            if (parsed.ec == std::errc{} && after < end && text[after] == '=') {
                at_.try_emplace(number, records_.size());
                records_.push_back({number, text.substr(after + 1, end - after - 1)});
            }
        }
        i = end + 1;
    }
}

StepValue StepRecords::read(std::uint32_t number) const {
    const auto found = at_.find(number);
    return found == at_.end() ? StepValue{} : Parser(records_[found->second].body).value();
}

std::string_view StepRecords::body(std::uint32_t number) const {
    const auto found = at_.find(number);
    return found == at_.end() ? std::string_view{} : records_[found->second].body;
}

std::vector<std::uint32_t> StepRecords::with(std::string_view keyword) const {
    std::vector<std::uint32_t> numbers;
    for (const Record& record : records_) {
        if (holds(record.body, keyword)) numbers.push_back(record.number);
    }
    return numbers;
}

std::vector<std::uint32_t> StepRecords::numbers() const {
    std::vector<std::uint32_t> all;
    all.reserve(records_.size());
    for (const Record& record : records_) all.push_back(record.number);
    return all;
}

}  // namespace noonshell
