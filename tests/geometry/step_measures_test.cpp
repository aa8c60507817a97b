// Areas and volumes of read bodies against the CAD kernel's own mass properties of the same file,
// body by body, within 1e-6.
#include <gtest/gtest.h>
#include <BRepGProp.hxx>
#include <GProp_GProps.hxx>
#include <STEPControl_Reader.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS_Shape.hxx>

#include <algorithm>
#include <cmath>
#include <utility>

#include "geometry/occt_session.hpp"
#include "tests/geometry/step_fixture.hpp"
#include "tests/support/detailed_container.hpp"

namespace noonshell::step_tests {
namespace {

class StepMeasures : public StepFile {
  protected:
    using Measures = std::vector<std::pair<double, double>>;  // volume, area; sorted

    static Measures of_kernel(const std::filesystem::path& file) {
        OcctSession session;
        session.set("xstep.cascade.unit", "M");
        STEPControl_Reader reader;
        EXPECT_EQ(reader.ReadFile(file.c_str()), IFSelect_RetDone);
        reader.TransferRoots();
        Measures out;
        const TopoDS_Shape all = reader.OneShape();
        for (TopExp_Explorer it(all, TopAbs_SOLID); it.More(); it.Next()) {
            GProp_GProps volume, area;
            BRepGProp::VolumeProperties(it.Current(), volume);
            BRepGProp::SurfaceProperties(it.Current(), area);
            out.emplace_back(volume.Mass(), area.Mass());
        }
        std::ranges::sort(out);
        return out;
    }

    /// Also checks that the faces make up the body and, where all are planar, the triangles too.
    static Measures of_model(const Model& model) {
        Measures out;
        for (std::size_t b = 0; b < model.bodies.size(); ++b) {
            const Body& body = model.bodies[b];
            double area = 0;
            bool planar = true;
            for (std::uint32_t f = body.first_face; f < body.first_face + body.n_faces; ++f) {
                area += model.faces[f].area_m2;
                planar = planar && model.faces[f].planar;
            }
            EXPECT_NEAR(area, body.area_m2, 1e-9 * area) << body.id;
            if (planar && body.solid) {
                const auto mesh = mesh_checks::of_body(model, b);
                EXPECT_NEAR(mesh.volume_m3, body.volume_m3, 1e-6 * body.volume_m3) << body.id;
            }
            if (body.solid) out.emplace_back(body.volume_m3, body.area_m2);
        }
        std::ranges::sort(out);
        return out;
    }

    void expect_as_the_kernel(const std::function<void(const std::filesystem::path&)>& write) {
        const Measures ours = of_model(read(write));
        const Measures kernel = of_kernel(folder_ / "model.step");
        ASSERT_EQ(ours.size(), kernel.size());
        ASSERT_FALSE(ours.empty());
        for (std::size_t i = 0; i < ours.size(); ++i) {
            EXPECT_NEAR(ours[i].first, kernel[i].first, 1e-6 * kernel[i].first) << i;
            EXPECT_NEAR(ours[i].second, kernel[i].second, 1e-6 * kernel[i].second) << i;
        }
    }
};

TEST_F(StepMeasures, DetailedContainer) {
    expect_as_the_kernel([](const auto& file) { test_support::write_detailed_container(file); });
}

TEST_F(StepMeasures, DetailedContainerAsOnePart) {
    expect_as_the_kernel([](const auto& file) {
        test_support::write_detailed_container(file,
                                               {.form = test_support::ContainerForm::compound});
    });
}

TEST_F(StepMeasures, RoundBodies) {
    expect_as_the_kernel([](const auto& file) { cad_shapes::write_round_bodies(file); });
}

}  // namespace
}  // namespace noonshell::step_tests
