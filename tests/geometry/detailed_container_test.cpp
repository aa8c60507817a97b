// The made models themselves: the closed forms that they promise against the CAD kernel's own
// volumes, areas and cuts.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <BRepAlgoAPI_Cut.hxx>
#include <BRepClass3d_SolidClassifier.hxx>
#include <BRepGProp.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <GProp_GProps.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_ListOfShape.hxx>
#include <TopoDS.hxx>

#include <cmath>
#include <numeric>
#include <set>

#include "geometry/step_reader.hpp"
#include "tests/support/container_solids.hpp"
#include "tests/support/detailed_container.hpp"
#include "tests/support/hollow_bodies.hpp"
#include "tests/support/scratch_folder.hpp"

namespace noonshell::test_support {
namespace {

double volume_mm3(const TopoDS_Shape& shape) {
    GProp_GProps properties;
    BRepGProp::VolumeProperties(shape, properties);
    return properties.Mass();
}

std::size_t n_faces(const TopoDS_Shape& shape) {
    std::size_t n = 0;
    for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) ++n;
    return n;
}

double sum_of_volumes(const Model& model) {
    return std::accumulate(model.bodies.begin(), model.bodies.end(), 0.0,
                           [](double sum, const Body& body) { return sum + body.volume_m3; });
}

/// The room, cut out of a block by the kernel: a second way to the closed form.
TopoDS_Shape room_by_cutting(const ContainerOptions& options) {
    using P = ContainerPlan;
    TopTools_ListOfShape blocks, tools;
    blocks.Append(BRepPrimAPI_MakeBox(gp_Pnt(0, 0, P::floor_top_mm),
                                      gp_Pnt(P::door_inside_mm, P::width_mm, P::roof_top_mm))
                      .Solid());
    const std::set<std::string> bounding = {"casting", "post", "top-rail", "header"};
    for (const ContainerPart& part : container_parts(options)) {
        if (part.group != "panels" && !bounding.contains(part.name)) continue;
        for (const gp_Trsf& place : part.places) {
            tools.Append(part.solid.Moved(TopLoc_Location(place)));
        }
    }
    BRepAlgoAPI_Cut cut;
    cut.SetArguments(blocks);
    cut.SetTools(tools);
    cut.Build();
    const gp_Pnt middle(P::length_mm / 2, P::width_mm / 2, P::height_mm / 2);
    for (TopExp_Explorer it(cut.Shape(), TopAbs_SOLID); it.More(); it.Next()) {
        const BRepClass3d_SolidClassifier where(it.Current(), middle, 1e-6);
        if (where.State() == TopAbs_IN) return it.Current();
    }
    return {};
}

TEST(Corrugation, DevelopedToProjectedArea) {
    // Side wall of ISO steel dry containers: flats 72 + 72, slopes 67 by 36, pitch 278:
    // (144 + 2 x 76.06) / 278 = 1.065, worked by hand.
    EXPECT_NEAR(side_wall_fold.pitch_mm(), 278, 1e-12);
    EXPECT_NEAR(side_wall_fold.ratio(), 1.065, 5e-4);
    EXPECT_NEAR(container_facts().side_wall.ratio(), side_wall_fold.ratio(), 1e-12);
    // Front wall: (110 + 104 + 2 sqrt(18^2 + 45.6^2)) / 250, worked by hand.
    EXPECT_NEAR(front_wall_fold.ratio(), 1.2482, 5e-5);
    // A flat sheet has none.
    EXPECT_EQ(container_facts({.folded_roof = false}).roof.ratio(), 1);
}

TEST(DetailedContainer, VolumeAndFacesOfEveryPart) {
    for (const double gap_mm : {0.0, 5.0}) {
        for (const bool folded : {true, false}) {
            for (const auto& part :
                 container_parts({.folded_roof = folded, .panel_gap_mm = gap_mm})) {
                EXPECT_NEAR(volume_mm3(part.solid), part.volume_mm3, 1e-9 * part.volume_mm3)
                    << part.name;
                EXPECT_EQ(n_faces(part.solid), part.n_faces) << part.name;
            }
        }
    }
}

TEST(DetailedContainer, SheetsHaveTheirThicknessEverywhere) {
    // Volume = thickness x developed length x height, whatever the folds.
    const ContainerFacts facts = container_facts();
    for (const auto& part : container_parts({})) {
        const double sheet_m3 = part.name.starts_with("side-wall") ? facts.side_wall.developed_m2
                                : part.name == "front-wall"        ? facts.front_wall.developed_m2
                                : part.name == "roof"              ? facts.roof.developed_m2
                                                                   : 0;
        if (sheet_m3 == 0) continue;
        EXPECT_NEAR(volume_mm3(part.solid), sheet_m3 * 0.002 * 1e9, 1e-3) << part.name;
    }
}

TEST(DetailedContainer, RoomByCuttingIsTheClosedForm) {
    for (const bool folded : {true, false}) {
        const ContainerOptions options{.folded_roof = folded};
        const TopoDS_Shape room = room_by_cutting(options);
        ASSERT_FALSE(room.IsNull());
        const double closed_form_m3 = container_facts(options).room_m3;
        EXPECT_NEAR(volume_mm3(room) / 1e9, closed_form_m3, 1e-9 * closed_form_m3);
    }
    // Trade pages give 33.2 m3 and an inner height of 2.392 m for a 20 ft container.
    EXPECT_NEAR(container_facts().room_m3, 33.2, 1.0);
    EXPECT_NEAR(container_facts().clear_m.z(), 2.392, 0.01);
}

class WrittenContainer : public testing::Test {
  protected:
    Model read(const ContainerOptions& options) {
        facts_ = write_detailed_container(folder_ / "container.step", options);
        return read_step(folder_ / "container.step");
    }
    void expect_as_promised(const Model& model, std::size_t n = 1) {
        EXPECT_EQ(model.bodies.size(), n * facts_.n_solids);
        EXPECT_EQ(model.faces.size(), n * facts_.n_faces);
        EXPECT_NEAR(sum_of_volumes(model), double(n) * facts_.solids_m3, 1e-6 * facts_.solids_m3);
        for (const Body& body : model.bodies) EXPECT_TRUE(body.solid) << body.id;
        EXPECT_TRUE(model.left_out.empty());
    }

    ScratchFolder folder_;
    ContainerFacts facts_{};
};

TEST_F(WrittenContainer, IsAsLargeAndAsDetailedAsItSays) {
    const Model model = read({});
    expect_as_promised(model);
    EXPECT_GE(model.faces.size(), 2000u);
    const std::array<double, 6> iso_668{0, 0, 0, 6.058, 2.438, 2.591};
    for (std::size_t i = 0; i < 6; ++i) EXPECT_NEAR(model.bbox_m[i], iso_668[i], 1e-9);
    EXPECT_EQ(model.assemblies.size(), 6u);  // site, container and its four groups
}

TEST_F(WrittenContainer, AsOnePart) {
    expect_as_promised(read({.form = ContainerForm::compound}));
}

TEST_F(WrittenContainer, OpenEndGapsAndInches) {
    const Model model = read({.doors = false, .panel_gap_mm = 10, .unit = LengthUnit::inch});
    expect_as_promised(model);
    EXPECT_EQ(model.length_unit, "inch");
    for (const Body& body : model.bodies) EXPECT_FALSE(body.name.starts_with("door")) << body.id;
}

/// X of one corner of every body called `name`, and the number of its part.
struct Found {
    double x_m;
    std::uint32_t part;
};
std::vector<Found> bodies_called(const Model& model, const std::string& name) {
    std::vector<Found> found;
    for (const Body& body : model.bodies) {
        if (body.name != name) continue;
        const Face& face = model.faces[body.first_face];
        found.push_back({model.mesh.corner(face.first_triangle, 0).x(), body.part});
    }
    return found;
}

TEST_F(WrittenContainer, PlacedTurnedAndMirrored) {
    ContainerOptions options;
    options.placements = {{"first", Vec3(0, 0, 0), 0, false},
                          {"second", Vec3(20, 0, 0), 90, false},
                          {"third", Vec3(0, 10, 0), 0, true}};
    const Model model = read(options);
    expect_as_promised(model, 3);
    const auto doors = bodies_called(model, "door-left");
    ASSERT_EQ(doors.size(), 3u);
    EXPECT_GT(doors[0].x_m, 5.9);  // as made
    EXPECT_LT(doors[1].x_m, 20);   // turned: the width runs towards -x
    EXPECT_LT(doors[2].x_m, 0.1);  // mirrored: at the other end
    EXPECT_EQ(doors[0].part, doors[1].part);
    EXPECT_NE(doors[0].part, doors[2].part);
}

TEST_F(WrittenContainer, SeparateCopiesShareNothing) {
    const Model model =
        read({.placements = {{"first"}, {"second", Vec3(0, 5, 0)}}, .separate_copies = true});
    expect_as_promised(model, 2);
    std::set<std::uint32_t> parts;
    for (const Body& body : model.bodies) parts.insert(body.part);
    EXPECT_EQ(parts.size(), model.bodies.size());
}

TEST_F(WrittenContainer, RefusesWhatItCannotMake) {
    EXPECT_THROW(container_facts({.panel_gap_mm = -1}), std::invalid_argument);
    EXPECT_THROW(container_facts({.panel_gap_mm = 21}), std::invalid_argument);
    EXPECT_THROW(container_facts({.placements = {}}), std::invalid_argument);
}

TEST_F(WrittenContainer, HollowBoxes) {
    const Vec3 size(6.058, 2.438, 2.591);
    const auto closed = write_hollow_box(folder_ / "closed.step", size, 100);
    const Model model = read_step(folder_ / "closed.step");
    ASSERT_EQ(model.bodies.size(), 1u);
    EXPECT_EQ(model.bodies[0].n_faces, closed.n_faces);
    EXPECT_NEAR(model.bodies[0].volume_m3, closed.solid_m3, 1e-9);
    EXPECT_NEAR(closed.void_m3, 5.858 * 2.238 * 2.391, 1e-9);

    const auto open = write_hollow_box(folder_ / "open.step", size, 100, Doorway{0.9, 2.0});
    const Model with_door = read_step(folder_ / "open.step");
    EXPECT_EQ(with_door.bodies[0].n_faces, open.n_faces);
    EXPECT_NEAR(with_door.bodies[0].volume_m3, closed.solid_m3 - 0.9 * 2.0 * 0.1, 1e-9);
}

TEST_F(WrittenContainer, OpenShells) {
    const Vec3 size(4, 2, 3);
    for (const double gap_mm : {0.0, 10.0}) {
        for (const int faces : {5, 6}) {
            const double area_m2 = write_open_shell(folder_ / "shell.step", size, faces, gap_mm);
            const Model model = read_step(folder_ / "shell.step");
            double read_m2 = 0;
            for (const Face& face : model.faces) read_m2 += face.area_m2;
            EXPECT_NEAR(read_m2, area_m2, 1e-9);
            EXPECT_EQ(model.faces.size(), static_cast<std::size_t>(faces));
        }
    }
    // Without a gap: 52 m2 closed, 44 m2 without the top of 4 x 2.
    EXPECT_NEAR(write_open_shell(folder_ / "shell.step", size, 6, 0), 52, 1e-12);
    EXPECT_NEAR(write_open_shell(folder_ / "shell.step", size, 5, 0), 44, 1e-12);
}

}  // namespace
}  // namespace noonshell::test_support
