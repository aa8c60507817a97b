// Where a representation of a STEP file stands in the whole, and in which length unit, read from
// the records themselves: for geometry that the CAD kernel does not know.
#pragma once

#include <Eigen/Geometry>
#include <cstdint>
#include <string>
#include <unordered_map>
#include <vector>

#include "geometry/step_records.hpp"

namespace noonshell {

/// One place of a part in the assembly tree.
struct PartInstance {
    Eigen::Affine3d to_model = Eigen::Affine3d::Identity();  ///< lengths in metres
    std::string name;                                        ///< of the occurrence, else the part
    std::string path;                                        ///< names from the root, by '/'
};

class StepPlacements {
  public:
    explicit StepPlacements(const StepRecords& records);

    /// Length of the unit of a representation [m]; 0 where the file does not say.
    double unit_m(std::uint32_t representation) const;

    /// All places at which the part of this representation stands; one at the origin when the file
    /// names no part. `complete` turns false when a placement cannot be read.
    std::vector<PartInstance> instances(std::uint32_t representation, bool& complete) const;

  private:
    struct Use {
        std::uint32_t parent = 0;  ///< product_definition
        std::string name;
        Eigen::Affine3d place = Eigen::Affine3d::Identity();
        bool readable = false;
    };
    double length_of_unit(std::uint32_t unit, int depth) const;
    Eigen::Affine3d frame(std::uint32_t axes, double length_m) const;
    bool placement(std::uint32_t relationship, Use& use) const;
    bool move(std::uint32_t transformation, double child_m, double parent_m, bool child_first,
              Eigen::Affine3d& out) const;
    std::string name_of_part(std::uint32_t definition) const;
    void collect(std::uint32_t definition, int depth, std::vector<PartInstance>& out,
                 bool& complete) const;

    const StepRecords& records_;
    std::unordered_map<std::uint32_t, std::uint32_t> definition_of_;  ///< by representation
    std::unordered_map<std::uint32_t, std::vector<Use>> uses_;        ///< by product_definition
};

}  // namespace noonshell
