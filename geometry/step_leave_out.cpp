#include "geometry/step_leave_out.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <map>
#include <unordered_set>

#include "geometry/step_edit.hpp"

namespace noonshell {

namespace {

bool is_any_of(std::string_view word, const auto& list) {
    return std::ranges::find(list, word) != list.end();
}

constexpr std::array<std::string_view, 4> curves_on_surfaces = {
    "SURFACE_CURVE", "SEAM_CURVE", "INTERSECTION_CURVE", "BOUNDED_SURFACE_CURVE"};

/// A record's body with some of its references taken out of their lists.
struct Thinned {
    std::string body;
    bool changed = false;
    bool emptied = false;  ///< a list has nothing left
    bool maimed = false;   ///< one of them is no item of a list
};

class Thinner {
  public:
    Thinner(std::string_view body, const std::set<std::uint32_t>& unwanted)
        : body_(body), unwanted_(unwanted) {
        const auto first = body.find_first_not_of(" \t\r\n");
        // A record that joins several entities stands in brackets of its own.
        joined_ = first != body.npos && body[first] == '(';
    }

    Thinned run() {
        const std::size_t base = joined_ ? 2 : 1;
        while (i_ < body_.size()) {
            const char c = body_[i_];
            if (c == '\'') {
                copy_to(body_.find('\'', i_ + 1), 1);
            } else if (body_.substr(i_, 2) == "/*") {
                copy_to(body_.find("*/", i_ + 2), 2);
            } else if (c == '#') {
                reference(lists_.size() > base);
            } else {
                if (c == '(') lists_.push_back({});
                if (c == ')') close();
                if (c == ',') comma();
                if (c != ',') out_.body += c;
                ++i_;
            }
        }
        return std::move(out_);
    }

  private:
    struct List {
        bool dropped_any = false, kept_any = false, dropped_last = false;
    };

    void copy_to(std::size_t mark, std::size_t length) {
        const std::size_t end = mark == body_.npos ? body_.size() : mark + length;
        out_.body += body_.substr(i_, end - i_);
        i_ = end;
    }

    void comma() {
        // Of "#1,#2,#3" without #1 or #2 one comma goes with it.
        const bool skip = !lists_.empty() && lists_.back().dropped_last;
        if (!skip) out_.body += ',';
        if (skip) lists_.back().dropped_last = false;
    }

    void close() {
        if (lists_.empty()) return;
        const List list = lists_.back();
        lists_.pop_back();
        if (list.dropped_last && list.kept_any && out_.body.ends_with(',')) out_.body.pop_back();
        if (list.dropped_any && !list.kept_any) out_.emptied = true;
    }

    void reference(bool in_list) {
        std::uint32_t number = 0;
        const char* const first = body_.data() + i_ + 1;
        const auto parsed = std::from_chars(first, body_.data() + body_.size(), number);
        const auto end = static_cast<std::size_t>(parsed.ptr - body_.data());
        const bool unwanted = parsed.ec == std::errc{} && unwanted_.contains(number);
        out_.changed = out_.changed || unwanted;
        if (unwanted && in_list) {
            lists_.back().dropped_any = lists_.back().dropped_last = true;
        } else {
            out_.maimed = out_.maimed || unwanted;
            out_.body += body_.substr(i_, end - i_);
            if (!lists_.empty()) lists_.back().kept_any = true;
        }
        i_ = end;
    }

    std::string_view body_;
    const std::set<std::uint32_t>& unwanted_;
    bool joined_ = false;
    std::size_t i_ = 0;
    std::vector<List> lists_;
    Thinned out_;
};

/// "()" as a parameter. What follows a keyword, as in joined records, is no list.
bool has_empty_list(std::string_view body) {
    bool quoted = false;
    char before = ' ';  // the last character that is no blank, and the one before it
    char before_that = ' ';
    for (const char c : body) {
        quoted ^= c == '\'';
        if (quoted || std::isspace(static_cast<unsigned char>(c)) != 0) continue;
        if (c == ')' && before == '(' && (before_that == ',' || before_that == '(')) return true;
        before_that = before;
        before = c;
    }
    return false;
}

}  // namespace

StepOwners::StepOwners(std::string_view text) : text_(text), records_(text) {
    for (const std::uint32_t number : records_.numbers()) {
        for (const std::uint32_t to : references(records_.body(number))) {
            auto& owners = owners_[to];
            if (owners.empty() || owners.back() != number) owners.push_back(number);
        }
    }
}

std::string_view StepOwners::keyword(std::uint32_t entity) const {
    const std::string_view body = records_.body(entity);
    const auto begin = body.find_first_not_of(" \t\r\n");
    if (begin == body.npos) return {};
    return body.substr(begin, body.find_first_of("( \t\r\n", begin) - begin);
}

bool StepOwners::is_face(std::uint32_t entity) const {
    const std::string_view kind = keyword(entity);
    return kind == "ADVANCED_FACE" || kind == "FACE_SURFACE";
}

std::vector<std::uint32_t> StepOwners::owners_of(std::uint32_t entity) const {
    const auto found = owners_.find(entity);
    return found == owners_.end() ? std::vector<std::uint32_t>{} : found->second;
}

bool StepOwners::is_body(std::uint32_t entity) const {
    const std::string_view kind = keyword(entity);
    return kind.ends_with("SHELL") || kind.ends_with("BREP") || kind.ends_with("SURFACE_MODEL") ||
           kind.ends_with("FACE_SET") || kind.ends_with("CURVE_SET") ||
           kind.ends_with("GEOMETRIC_SET") || kind == "BREP_WITH_VOIDS" || kind == "ORIENTED_FACE";
}

bool StepOwners::needs(std::uint32_t owner, std::uint32_t item) const {
    const std::string_view kind = keyword(owner);
    if (kind == "PCURVE" || kind == "DEFINITIONAL_REPRESENTATION") return false;
    const bool missing = records_.body(item).empty();
    if (missing && (kind == "ORIENTED_EDGE" || kind == "EDGE_LOOP")) return false;
    if (!is_any_of(kind, curves_on_surfaces)) return true;
    const auto all = references(records_.body(owner));
    return !all.empty() && all.front() == item;
}

template <class Stop>
std::set<std::uint32_t> StepOwners::climb(std::vector<std::uint32_t> items,
                                          const Stop& stop) const {
    std::set<std::uint32_t> found;
    std::unordered_set<std::uint32_t> seen(items.begin(), items.end());
    for (std::size_t i = 0; i < items.size(); ++i) {
        const std::uint32_t item = items[i];
        if (stop(item)) {
            found.insert(item);
            continue;
        }
        const auto owners = owners_.find(item);
        if (owners == owners_.end()) continue;
        for (const std::uint32_t owner : owners->second) {
            if (needs(owner, item) && seen.insert(owner).second) items.push_back(owner);
        }
    }
    return found;
}

std::vector<std::uint32_t> StepOwners::missing_records() const {
    std::vector<std::uint32_t> missing;
    for (const auto& [number, owners] : owners_) {
        if (records_.body(number).empty()) missing.push_back(number);
    }
    return missing;
}

/// Of the records below a face those on whose empty parameters the kernel crashes.
bool StepOwners::lacks_a_parameter(std::uint32_t entity) const {
    const std::string_view kind = keyword(entity);
    const bool face = is_face(entity), line = kind == "LINE";
    const bool other = kind == "FACE_BOUND" || kind == "FACE_OUTER_BOUND" || kind == "VECTOR" ||
                       kind == "VERTEX_POINT";
    if (!face && !line && !other) return false;
    const StepValue record = records_.read(entity);
    const auto is_entity = [](const StepValue& v) { return v.kind == StepValue::Kind::reference; };
    if (face) return !std::ranges::all_of(record.at(1).items, is_entity);
    return !is_entity(record.at(1)) || (line && !is_entity(record.at(2)));
}

std::set<std::uint32_t> StepOwners::faces_with_missing_records() const {
    std::vector<std::uint32_t> bad = missing_records();
    for (const std::uint32_t number : records_.numbers()) {
        if (lacks_a_parameter(number)) bad.push_back(number);
    }
    return climb(std::move(bad), [&](std::uint32_t entity) { return is_face(entity); });
}

std::set<std::uint32_t> StepOwners::styles_with_missing_records() const {
    return climb(missing_records(),
                 [&](std::uint32_t entity) { return keyword(entity).ends_with("STYLED_ITEM"); });
}

std::map<std::uint32_t, std::string> StepOwners::stand_ins() const {
    std::map<std::uint32_t, std::string> found;
    for (const std::uint32_t missing : missing_records()) {
        for (const std::uint32_t owner : owners_.at(missing)) {
            const StepValue record = records_.read(owner);
            const StepValue& tie = record.entity("REPRESENTATION_RELATIONSHIP");
            if (record.is("AXIS2_PLACEMENT_3D") && record.at(1).reference == missing) {
                found[missing] = "CARTESIAN_POINT('',(0.,0.,0.))";
            } else if (tie.at(2).reference == missing || tie.at(3).reference == missing) {
                // Its units are those of what it is tied to.
                const std::uint32_t other =
                    tie.at(tie.at(2).reference == missing ? 3 : 2).reference;
                const std::uint32_t context = records_.read(other).at(2).reference;
                found[missing] = "SHAPE_REPRESENTATION('',()," +
                                 (context == 0 ? "$" : "#" + std::to_string(context)) + ")";
            }
        }
    }
    return found;
}

std::set<std::uint32_t> StepOwners::broken_links() const {
    std::set<std::uint32_t> links;
    const auto replaced = stand_ins();
    for (const std::uint32_t missing : missing_records()) {
        if (replaced.contains(missing)) continue;
        for (const std::uint32_t owner : owners_.at(missing)) {
            const std::string_view kind = keyword(owner);
            if (kind == "SHAPE_DEFINITION_REPRESENTATION" ||
                kind == "CONTEXT_DEPENDENT_SHAPE_REPRESENTATION") {
                links.insert(owner);
            }
        }
    }
    return links;
}

std::set<std::uint32_t> StepOwners::to_leave_out(std::uint32_t entity,
                                                 const std::set<std::uint32_t>& left_out) const {
    const auto is_new = [&](std::uint32_t found) { return !left_out.contains(found); };
    std::set<std::uint32_t> found =
        climb({entity}, [&](std::uint32_t other) { return is_face(other) || is_body(other); });
    if (std::ranges::any_of(found, is_new)) return found;
    const std::vector<std::uint32_t> below(found.begin(), found.end());
    found = climb(below, [&](std::uint32_t other) { return is_body(other) && is_new(other); });
    return found;
}

std::set<std::uint32_t> StepOwners::shapes_with_empty_lists() const {
    std::set<std::uint32_t> found;
    for (const std::uint32_t number : records_.numbers()) {
        if (has_empty_list(records_.body(number)) && !to_leave_out(number, {}).empty())
            found.insert(number);
    }
    return found;
}

std::string StepOwners::text_without(std::set<std::uint32_t> entities) const {
    std::map<std::size_t, std::pair<std::string_view, std::string>>
        changed;  // by place in the text
    std::vector<std::uint32_t> queue(entities.begin(), entities.end());
    for (std::size_t i = 0; i < queue.size(); ++i) {
        const auto owners = owners_.find(queue[i]);
        if (owners == owners_.end()) continue;
        for (const std::uint32_t owner : owners->second) {
            const std::string_view body = records_.body(owner);
            Thinned thin = Thinner(body, entities).run();
            if ((thin.emptied || thin.maimed) && is_body(owner) && entities.insert(owner).second) {
                queue.push_back(owner);
            }
            changed[static_cast<std::size_t>(body.data() - text_.data())] = {body,
                                                                             std::move(thin.body)};
        }
    }
    std::string out;
    std::size_t done = 0;
    for (const auto& [at, bodies] : changed) {
        out += text_.substr(done, at - done);
        out += bodies.second;
        done = at + bodies.first.size();
    }
    return out += text_.substr(done);
}

std::string StepOwners::with_stand_ins(std::string text, const std::set<std::uint32_t>& blanked,
                                       const std::map<std::uint32_t, std::string>& added) {
    {
        const StepRecords records(text);
        std::map<std::size_t, std::size_t> spans;  // begin and size, from behind
        for (const std::uint32_t number : blanked) {
            const std::string_view body = records.body(number);
            if (body.empty()) continue;
            spans[static_cast<std::size_t>(body.data() - text.data())] = body.size();
        }
        std::string out;
        std::size_t done = 0;
        for (const auto& [begin, size] : spans) {
            out += std::string_view(text).substr(done, begin - done);
            out += "LEFT_OUT()";
            done = begin + size;
        }
        text = out + text.substr(done);
    }
    const auto end = text.rfind("ENDSEC;");
    if (end == text.npos) return text;
    std::string records;
    for (const auto& [number, body] : added) {
        records += "#" + std::to_string(number) + "=" + body + ";\n";
    }
    return text.insert(end, records);
}

}  // namespace noonshell
