#include "geometry/step_edit.hpp"

#include <algorithm>
#include <cctype>
#include <charconv>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

/// One past quoted text or a comment that starts at `i`; `i` itself where neither does.
std::size_t past_opaque(std::string_view text, std::size_t i) {
    std::size_t end = i;
    if (text[i] == '\'') {
        end = text.find('\'', i + 1);
        return end == text.npos ? text.size() : end + 1;
    }
    if (text.substr(i, 2) == "/*") {
        end = text.find("*/", i + 2);
        return end == text.npos ? text.size() : end + 2;
    }
    return end;
}

/// Calls `found(begin, end, number)` for every reference: the span of "#123".
template <class Found>
void for_each_reference(std::string_view body, Found found) {
    for (std::size_t i = 0; i < body.size();) {
        if (const std::size_t past = past_opaque(body, i); past > i) {
            i = past;
            continue;
        }
        std::uint32_t number = 0;
        if (body[i] == '#') {
            const char* first = body.data() + i + 1;
            const auto parsed = std::from_chars(first, body.data() + body.size(), number);
            if (parsed.ec == std::errc{}) {
                const auto end = static_cast<std::size_t>(parsed.ptr - body.data());
                found(i, end, number);
                i = end;
                continue;
            }
        }
        ++i;
    }
}

/// Position of the ';' that ends the statement at `i`.
std::size_t end_of_statement(std::string_view text, std::size_t i) {
    while (i < text.size() && text[i] != ';') i = std::max(i + 1, past_opaque(text, i));
    return std::min(i, text.size());
}

/// Start of the statement at or after `i`.
std::size_t start_of_statement(std::string_view text, std::size_t i) {
    while (i < text.size()) {
        if (std::isspace(static_cast<unsigned char>(text[i])) != 0) {
            ++i;
        } else if (text.substr(i, 2) == "/*") {
            i = past_opaque(text, i);
        } else {
            break;
        }
    }
    return i;
}

}  // namespace

StepEdit::StepEdit(std::string text) : text_(std::move(text)) {
    const std::string_view all = text_;
    bool after_record = false;
    for (std::size_t i = start_of_statement(all, 0); i < all.size();) {
        const std::size_t end = end_of_statement(all, i);
        const std::string_view statement = all.substr(i, end - i);
        if (statement.starts_with('#')) {
            std::uint32_t number = 0;
            std::from_chars(all.data() + i + 1, all.data() + end, number);
            const std::size_t equals = all.find('=', i);
            if (number > 0 && equals < end) {
                at_.try_emplace(number, records_.size());
                records_.push_back({number, equals + 1, end});
                last_number_ = std::max(last_number_, number);
                after_record = true;
            }
        } else if (statement.starts_with("ENDSEC") && after_record) {
            end_of_data_ = i;
            after_record = false;
        }
        i = start_of_statement(all, end + 1);
    }
    NOONSHELL_CHECK_GT(end_of_data_, std::size_t{0});
}

std::string_view StepEdit::body(std::uint32_t number) const {
    const auto found = at_.find(number);
    if (found == at_.end()) return {};
    const Record& record = records_[found->second];
    return std::string_view(text_).substr(record.begin, record.end - record.begin);
}

std::vector<std::uint32_t> StepEdit::numbers() const {
    std::vector<std::uint32_t> list;
    for (const Record& record : records_) list.push_back(record.number);
    return list;
}

void StepEdit::replace(std::uint32_t number, std::string body) {
    replaced_[at_.at(number)] = std::move(body);
}

void StepEdit::add(std::uint32_t number, const std::string& body) {
    added_ += "#" + std::to_string(number) + " = " + body + ";\n";
}

std::uint32_t StepEdit::add(const std::string& body) {
    const std::uint32_t number = new_number();
    add(number, body);
    return number;
}

std::string StepEdit::text() const {
    std::string out;
    std::size_t done = 0;
    for (const auto& [index, body] : replaced_) {
        const Record& record = records_[index];
        out.append(text_, done, record.begin - done);
        out += " " + body;
        done = record.end;
    }
    out.append(text_, done, end_of_data_ - done);
    out += added_;
    out.append(text_, end_of_data_);
    return out;
}

std::vector<std::uint32_t> references(std::string_view body) {
    std::vector<std::uint32_t> list;
    for_each_reference(
        body, [&](std::size_t, std::size_t, std::uint32_t number) { list.push_back(number); });
    return list;
}

std::string with_references(std::string_view body, const NumberMap& exchanged) {
    std::string out;
    std::size_t done = 0;
    for_each_reference(body, [&](std::size_t begin, std::size_t end, std::uint32_t number) {
        const auto found = exchanged.find(number);
        if (found == exchanged.end()) return;
        out += body.substr(done, begin - done);
        out += "#" + std::to_string(found->second);
        done = end;
    });
    out += body.substr(done);
    return out;
}

}  // namespace noonshell
