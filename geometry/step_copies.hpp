// Private to geometry/: the places of parts in a STEP file, and copies of parts of which one place
// is to look different from another.
#pragma once

#include <Eigen/Geometry>
#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

#include "geometry/step_edit.hpp"
#include "geometry/step_placements.hpp"
#include "geometry/step_records.hpp"

namespace noonshell {

/// A part or assembly of the file: a product_definition with its representations.
struct StepPart {
    std::uint32_t definition = 0;
    std::vector<std::uint32_t> representations;
    std::vector<std::uint32_t> links;  ///< records that tie them together and to the definition
    std::vector<std::uint32_t> uses;   ///< occurrences whose parent it is
};

/// One place of a part: the occurrences that lead to it from the root.
struct StepPlace {
    std::vector<std::uint32_t> occurrences;
    Eigen::Affine3d to_file = Eigen::Affine3d::Identity();  ///< metres, axes of the file
};

/// Parts, places and copies of one file. Entities as in ISO 10303-41, -43 and -44.
class StepParts {
  public:
    explicit StepParts(StepEdit& edit);

    const StepRecords& records() const { return records_; }
    const std::map<std::uint32_t, StepPart>& parts() const { return parts_; }
    double unit_m(std::uint32_t representation) const { return placements_.unit_m(representation); }

    /// What a record leads to, itself included; contexts and what lies behind them are not
    /// followed.
    std::vector<std::uint32_t> reach(const std::vector<std::uint32_t>& from) const;

    /// Places of a part in the order of the file. Empty where one cannot be read.
    std::vector<StepPlace> places(const StepPart& part) const;

    /// Gives parts whose places differ copies of their own. `look` holds a text per place (by its
    /// occurrences) of each part that has faces; places of equal look share a copy. Returns, for
    /// each place that now stands on a copy, the numbers of the copied records by their old ones.
    using Looks = std::map<std::pair<std::uint32_t, std::vector<std::uint32_t>>, std::string>;
    using Copies = std::map<std::pair<std::uint32_t, std::vector<std::uint32_t>>, const NumberMap*>;
    Copies separate(const Looks& looks);
    std::size_t n_copies() const { return copies_.size(); }

  private:
    struct Occurrence {
        std::uint32_t number = 0, parent = 0, child = 0;
        std::uint32_t shape = 0, placing = 0, relation = 0, move = 0;
    };
    void find_parts();
    void find_occurrences();
    bool is_context(std::uint32_t number) const;
    std::vector<StepPlace> paths_to(std::uint32_t definition, int depth) const;
    std::string look_below(std::uint32_t definition, std::vector<std::uint32_t>& path,
                           const Looks& looks, Copies& copies);
    const NumberMap* copy_of(std::uint32_t definition);
    void place_child(const Occurrence& use, const NumberMap* parent, const NumberMap* child);

    StepEdit& edit_;
    StepRecords records_;
    StepPlacements placements_;
    std::map<std::uint32_t, StepPart> parts_;               ///< by definition
    std::map<std::uint32_t, Occurrence> occurrences_;       ///< by number, only whole ones
    std::vector<std::uint32_t> occurrence_order_;           ///< as their placings stand in the file
    std::map<std::uint32_t, std::uint32_t> definition_of_;  ///< by representation
    std::map<std::pair<std::uint32_t, std::string>, const NumberMap*> by_look_;
    std::vector<std::unique_ptr<NumberMap>> copies_;
    mutable std::unordered_map<std::uint32_t, bool> contexts_;
};

}  // namespace noonshell
