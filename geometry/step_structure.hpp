// Private to geometry/: which body and which product of a STEP file an entity belongs to, by the
// references between the records, also where a record on the way is missing.
#pragma once

#include <cstdint>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

#include "geometry/step_records.hpp"

namespace noonshell {

/// A record that another one refers to and that the file does not hold.
struct MissingRecord {
    std::uint32_t number = 0;    ///< 0: none
    std::uint32_t referrer = 0;  ///< the first that refers to it
};

class StepStructure {
  public:
    /// `records` must outlive this. Time and memory grow in step with the file.
    explicit StepStructure(const StepRecords& records);

    bool has(std::uint32_t entity) const { return keywords_.contains(entity); }

    /// True when the record of `entity` names `other`.
    bool refers(std::uint32_t entity, std::uint32_t other) const;

    /// The entity's type; empty for a missing record.
    const std::string& keyword(std::uint32_t entity) const;

    /// All faces with a surface, in the order of the file.
    const std::vector<std::uint32_t>& faces() const { return faces_; }

    /// Bounds, loops and oriented edges that nothing lists.
    const std::vector<std::uint32_t>& stray_bounds() const { return stray_bounds_; }

    /// Each once, in the order of the file; those that only styles and notes refer to are left out.
    const std::vector<MissingRecord>& missing() const { return missing_; }

    /// The outermost entity of shape that holds `face`: its solid or, where there is none, its
    /// shell, else the face itself. Where a record between them is missing, what nobody refers to
    /// is taken for a part of the missing record with the nearest number; so the outcome may be the
    /// number of a missing record.
    std::uint32_t body_of(std::uint32_t face) const;

    /// The product_definition whose shape holds `entity`; 0 where the records lead to none.
    std::uint32_t definition_of(std::uint32_t entity) const;

    /// The first missing record that `entity` needs, directly or through others.
    MissingRecord missing_below(std::uint32_t entity) const;

    /// The first missing record that the shape of a product_definition needs.
    MissingRecord missing_in_shape_of(std::uint32_t definition) const;

    /// Definitions of products placed by a record that needs a missing one, so that they may stand
    /// in the wrong place, and of all that is placed in them, each with that missing record.
    std::vector<std::pair<std::uint32_t, MissingRecord>> badly_placed() const;

    /// The missing record of shape with the number nearest to `entity`; 0 where there is none.
    std::uint32_t nearest_missing(std::uint32_t entity) const;

  private:
    void collect_missing();
    std::vector<std::uint32_t> holders_of(std::uint32_t entity) const;
    MissingRecord missing_in(std::uint32_t representation, std::uint32_t link) const;
    std::uint32_t definition_behind(std::uint32_t record) const;
    std::uint32_t placed_by(std::uint32_t placement) const;
    const std::vector<std::uint32_t>& referrers_of(std::uint32_t entity) const;
    const std::vector<std::uint32_t>& references_of(std::uint32_t entity) const;

    using Lists = std::unordered_map<std::uint32_t, std::vector<std::uint32_t>>;
    const StepRecords& records_;
    std::vector<std::uint32_t> numbers_;
    std::unordered_map<std::uint32_t, std::string> keywords_;
    Lists references_, referrers_;
    std::vector<std::uint32_t> faces_, stray_bounds_;
    std::vector<MissingRecord> missing_;
    std::vector<std::uint32_t> missing_shapes_;  ///< those of missing_ that hold shape, sorted
};

}  // namespace noonshell
