// Private to geometry/: prisms as parts and solids of a STEP file.
#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

#include "geometry/prism.hpp"
#include "geometry/step_edit.hpp"
#include "geometry/step_records.hpp"

namespace noonshell {

/// Where new parts hang on and how the file measures.
struct StepTarget {
    std::uint32_t definition = 0;  ///< a product_definition of the file, whose kind is followed
    std::uint32_t context = 0;     ///< of geometry: units and uncertainty
    double unit_m = 1;             ///< length of that context's unit
    Eigen::Matrix3d to_file = Eigen::Matrix3d::Identity();  ///< from the model's axes
};

/// Adds one root assembly called `assembly` that holds one part per body. Returns the records of
/// the faces, per body in the order of append_bodies().
std::vector<std::vector<std::uint32_t>> add_solids(StepEdit& edit, const StepRecords& records,
                                                   const StepTarget& target,
                                                   const std::string& assembly,
                                                   const std::vector<PrismBody>& bodies);

}  // namespace noonshell
