#include "geometry/step_references.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <string>
#include <utility>
#include <vector>

namespace noonshell {

namespace {

constexpr std::uint32_t nothing = 0xFFFFFFFFu;

/// Records by index in the order of the file, and what each refers to.
struct ReferenceGraph {
    std::vector<std::uint32_t> number;      ///< of each record
    std::vector<std::size_t> begin;         ///< of each record, in the text
    std::vector<std::uint32_t> first_edge;  ///< #number + 1, into `edge`
    std::vector<std::uint32_t> edge;        ///< numbers of records; later their indices

    std::size_t size() const { return number.size(); }
};

/// Reads "#n = ...;" with the references in it; text in quotes and comments is passed over.
class ReferenceScan {
  public:
    explicit ReferenceScan(std::string_view text) : text_(text) {}

    const ReferenceShape& texts() const { return texts_; }

    ReferenceGraph run() {
        for (std::size_t i = 0; i < text_.size();) {
            switch (text_[i]) {
                case '\'':
                    i = pass_text(i);
                    break;
                case '/':
                    i = text_.substr(i, 2) == "/*" ? after("*/", i + 2) : i + 1;
                    break;
                case ';':
                    in_record_ = false;
                    ++i;
                    break;
                case '#':
                    i = take(i + 1);
                    break;
                default:
                    ++i;
            }
        }
        graph_.first_edge.push_back(static_cast<std::uint32_t>(graph_.edge.size()));
        return std::move(graph_);
    }

  private:
    std::size_t after(std::string_view mark, std::size_t from) const {
        const auto at = text_.find(mark, from);
        return at == text_.npos ? text_.size() : at + mark.size();
    }

    std::size_t pass_text(std::size_t i) {
        const std::size_t end = after("'", i + 1);
        // A doubled quote is two texts side by side to this, and one to the kernel.
        if (i != end_of_text_) begin_of_text_ = i;
        end_of_text_ = end;
        const std::size_t length = end - begin_of_text_ - 2;
        if (end - begin_of_text_ > 2 && length > texts_.longest_text) {
            texts_.longest_text = length;
            texts_.text_entity = in_record_ ? graph_.number.back() : 0;
        }
        return end;
    }

    std::size_t take(std::size_t i) {
        std::uint32_t number = 0;
        const char* const end = text_.data() + text_.size();
        const auto parsed = std::from_chars(text_.data() + i, end, number);
        if (parsed.ec != std::errc{}) return i;
        i = static_cast<std::size_t>(parsed.ptr - text_.data());
        if (in_record_) {
            graph_.edge.push_back(number);
            return i;
        }
        const auto next = text_.find_first_not_of(" \t\r\n", i);
        if (next == text_.npos || text_[next] != '=') return i;
        in_record_ = true;
        graph_.number.push_back(number);
        graph_.begin.push_back(i);
        graph_.first_edge.push_back(static_cast<std::uint32_t>(graph_.edge.size()));
        return next;
    }

    std::string_view text_;
    ReferenceGraph graph_;
    ReferenceShape texts_;  ///< only what it says of texts
    std::size_t begin_of_text_ = 0, end_of_text_ = 0;
    bool in_record_ = false;
};

/// Index of the record with a number: by table where the numbers are dense, else by search.
class RecordIndex {
  public:
    explicit RecordIndex(const std::vector<std::uint32_t>& numbers) {
        if (numbers.empty()) return;
        constexpr std::size_t sparse = 8;
        const std::size_t largest = *std::ranges::max_element(numbers);
        if (largest < sparse * numbers.size() + 1024) table_.assign(largest + 1, nothing);
        for (std::uint32_t i = 0; i < numbers.size(); ++i) {
            if (table_.empty()) {
                sorted_.push_back({numbers[i], i});
            } else if (table_[numbers[i]] == nothing) {
                table_[numbers[i]] = i;
            } else {
                repeated_.push_back({table_[numbers[i]], i});
            }
        }
        std::ranges::sort(sorted_);
        std::size_t first = 0;
        for (std::size_t k = 1; k < sorted_.size(); ++k) {
            if (sorted_[k][0] != sorted_[first][0]) first = k;
            if (k != first) repeated_.push_back({sorted_[first][1], sorted_[k][1]});
        }
        std::ranges::sort(repeated_, {}, [](const Repeated& pair) { return pair[1]; });
    }

    std::uint32_t of(std::uint32_t number) const {
        if (!table_.empty()) return number < table_.size() ? table_[number] : nothing;
        const auto found = std::ranges::lower_bound(sorted_, std::array{number, 0u});
        return found != sorted_.end() && (*found)[0] == number ? (*found)[1] : nothing;
    }

    /// The first record with a number, and another one with the same; by index, in the order of the
    /// file.
    using Repeated = std::array<std::uint32_t, 2>;
    const std::vector<Repeated>& repeated() const { return repeated_; }

  private:
    std::vector<std::uint32_t> table_;
    std::vector<std::array<std::uint32_t, 2>> sorted_;
    std::vector<Repeated> repeated_;
};

/// Depth first, with a stack of its own: a ring may be as long as the file.
class ReferenceWalk {
  public:
    explicit ReferenceWalk(const ReferenceGraph& graph)
        : graph_(graph), place_(graph.size(), 0), depth_(graph.size(), 0) {}

    ReferenceShape run() {
        for (std::uint32_t start = 0; start < graph_.size(); ++start) {
            if (depth_[start] == 0) walk_from(start);
        }
        return shape_;
    }

  private:
    struct Step {
        std::uint32_t record, next_edge;
    };

    void enter(std::uint32_t record) {
        path_.push_back({record, graph_.first_edge[record]});
        place_[record] = static_cast<std::uint32_t>(path_.size());
        depth_[record] = 1;
    }

    void walk_from(std::uint32_t start) {
        enter(start);
        while (!path_.empty()) {
            Step& step = path_.back();
            if (step.next_edge == graph_.first_edge[step.record + 1]) {
                leave();
                continue;
            }
            const std::uint32_t to = graph_.edge[step.next_edge++];
            if (to == nothing) continue;
            if (place_[to] != 0) {
                note_ring(to);
            } else if (depth_[to] == 0) {
                enter(to);
            } else {
                depth_[step.record] = std::max(depth_[step.record], depth_[to] + 1);
            }
        }
    }

    void leave() {
        const std::uint32_t record = path_.back().record;
        path_.pop_back();
        place_[record] = 0;
        if (depth_[record] > shape_.deepest) {
            shape_.deepest = depth_[record];
            shape_.deep_entity = graph_.number[record];
        }
        if (path_.empty()) return;
        std::uint32_t& above = depth_[path_.back().record];
        above = std::max(above, depth_[record] + 1);
    }

    void note_ring(std::uint32_t to) {
        const std::size_t length = path_.size() - place_[to] + 1;
        if (length <= shape_.longest_ring) return;
        shape_.longest_ring = length;
        shape_.ring_entity = graph_.number[to];
    }

    const ReferenceGraph& graph_;
    std::vector<std::uint32_t> place_;  ///< on the path, from 1; 0: not on it
    std::vector<std::uint32_t> depth_;  ///< 0: not visited yet
    std::vector<Step> path_;
    ReferenceShape shape_;
};

std::size_t line_of(std::string_view text, std::size_t at) {
    return static_cast<std::size_t>(std::ranges::count(text.substr(0, at), '\n')) + 1;
}

void note_repeated(std::string_view text, const ReferenceGraph& graph, const RecordIndex& index,
                   ReferenceShape& shape) {
    constexpr std::size_t most_named = 3;
    shape.n_repeated = index.repeated().size();
    for (const auto& [first, other] : index.repeated()) {
        if (shape.repeated.size() == most_named) return;
        shape.repeated.push_back({graph.number[other], line_of(text, graph.begin[first]),
                                  line_of(text, graph.begin[other])});
    }
}

}  // namespace

ReferenceShape reference_shape(std::string_view file_text) {
    ReferenceScan scan(file_text);
    ReferenceGraph graph = scan.run();
    ReferenceShape found = scan.texts();
    {
        const RecordIndex index(graph.number);
        for (std::uint32_t& edge : graph.edge) {
            edge = index.of(edge);
            found.n_missing += edge == nothing;
        }
        note_repeated(file_text, graph, index, found);
    }
    const ReferenceShape walked = ReferenceWalk(graph).run();
    found.longest_ring = walked.longest_ring;
    found.ring_entity = walked.ring_entity;
    found.deepest = walked.deepest;
    found.deep_entity = walked.deep_entity;
    return found;
}

}  // namespace noonshell
