// Private to tests/support: the solids of the detailed container, and how large they are.
#pragma once

#include <TopoDS_Shape.hxx>
#include <array>
#include <gp_Trsf.hxx>
#include <string>
#include <vector>

#include "tests/support/corrugation.hpp"
#include "tests/support/detailed_container.hpp"

namespace noonshell::test_support {

/// Outside sizes (ISO 668) and the planes at which the parts of the container meet.
struct ContainerPlan {
    static constexpr double length_mm = 6058, width_mm = 2438, height_mm = 2591;
    static constexpr double casting_x_mm = 178, casting_y_mm = 162, casting_z_mm = 118;
    static constexpr double post_x_mm = 110, post_y_mm = 94, rail_mm = 60;
    static constexpr double base_mm = 17;  ///< underside of rails and cross-members
    static constexpr double plywood_mm = 28, floor_top_mm = 167;
    static constexpr double wall_top_mm = height_mm - casting_z_mm, roof_top_mm = height_mm - 6;
    static constexpr double door_inside_mm = length_mm - 80, door_outside_mm = length_mm - 50;
    static constexpr double sheet_mm = 2;

    FoldedSheet side_wall, front_wall, roof;  ///< a gap shortens them

    explicit ContainerPlan(double gap_mm);
};

/// A solid and every place where it stands in the container.
struct ContainerPart {
    std::string name, group;
    TopoDS_Shape solid;
    double volume_mm3;
    std::size_t n_faces;
    std::vector<gp_Trsf> places;
};

std::vector<ContainerPart> container_parts(const ContainerOptions& options);

}  // namespace noonshell::test_support
