// Groups of bodies that are the same parts placed the same way: what is found out about the shape
// of one holds for all.
#pragma once

#include <deque>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "geometry/model.hpp"

namespace noonshell {

/// Whether `b` is `a` moved and turned about an upright axis: the same parts in the same order, and
/// every corner where the move puts it, to a tenth of a millimetre.
bool are_congruent(const Model& model, std::span<const BodyId> a, std::span<const BodyId> b);

/// Answers found for groups of bodies, handed out again for congruent groups.
template <class Answer>
class CongruentAnswers {
  public:
    explicit CongruentAnswers(const Model& model) : model_(&model) {}

    /// The answer for `bodies`: `find` is asked only where no congruent group was seen before.
    template <class Find>
    const Answer& get(std::span<const BodyId> bodies, Find&& find) {
        for (const auto& [seen, answer] : known_) {
            if (are_congruent(*model_, seen, bodies)) return answer;
        }
        known_.emplace_back(std::vector<BodyId>(bodies.begin(), bodies.end()), find());
        return known_.back().second;
    }

  private:
    const Model* model_;
    std::deque<std::pair<std::vector<BodyId>, Answer>> known_;
};

}  // namespace noonshell
