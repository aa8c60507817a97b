// A coloured file holds the solids of the file that was coloured, as two readers that are not the
// program's see them: one of the text alone (tests/support/part21_solids.hpp), and the CAD kernel's
// own with none of our repair.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <BRepGProp.hxx>
#include <BRep_Tool.hxx>
#include <GProp_GProps.hxx>
#include <Interface_Static.hxx>
#include <STEPCAFControl_Controller.hxx>
#include <STEPCAFControl_Reader.hxx>
#include <TDF_LabelSequence.hxx>
#include <TDataStd_Name.hxx>
#include <TDocStd_Document.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <algorithm>
#include <limits>
#include <stdexcept>
#include <string>
#include <tuple>
#include <vector>

#include "geometry/block_writer.hpp"
#include "geometry/coloured_step.hpp"
#include "geometry/occt_text.hpp"
#include "geometry/step_reader.hpp"
#include "tests/geometry/cad_shapes.hpp"
#include "tests/geometry/mesh_checks.hpp"
#include "tests/support/detailed_container.hpp"
#include "tests/support/part21_solids.hpp"

namespace noonshell {
namespace {

using test_support::Part21Solid;
using test_support::read_part21_solids;

using Solids = std::vector<Part21Solid>;

/// The kernel's own reader of names and structure.
class KernelReader {
  public:
    explicit KernelReader(const std::filesystem::path& file)
        : document_(new TDocStd_Document("BinXCAF")),
          tool_(XCAFDoc_DocumentTool::ShapeTool(document_->Main())) {
        STEPCAFControl_Controller::Init();  // the setting is unknown before
        Interface_Static::SetCVal("xstep.cascade.unit", "M");
        STEPCAFControl_Reader reader;
        if (reader.ReadFile(file.string().c_str()) != IFSelect_RetDone ||
            !reader.Transfer(document_)) {
            throw std::runtime_error("the kernel cannot read " + file.string());
        }
        Interface_Static::SetCVal("xstep.cascade.unit", "MM");
        TDF_LabelSequence roots;
        tool_->GetFreeShapes(roots);
        for (const TDF_Label& root : roots) walk(root, {}, name_of(root));
        std::sort(solids_.begin(), solids_.end(), [](const auto& a, const auto& b) {
            return std::tie(a.name, a.bounds_m) < std::tie(b.name, b.bounds_m);
        });
    }
    const Solids& solids() const { return solids_; }

  private:
    static std::string name_of(const TDF_Label& label) {
        opencascade::handle<TDataStd_Name> name;
        return label.FindAttribute(TDataStd_Name::GetID(), name) ? to_utf8(name->Get()) : "";
    }
    void walk(const TDF_Label& label, const TopLoc_Location& place, const std::string& path) {
        if (XCAFDoc_ShapeTool::IsAssembly(label)) {
            TDF_LabelSequence parts;
            XCAFDoc_ShapeTool::GetComponents(label, parts);
            for (const TDF_Label& part : parts) {
                TDF_Label referred;
                XCAFDoc_ShapeTool::GetReferredShape(part, referred);
                walk(referred, place * XCAFDoc_ShapeTool::GetLocation(part),
                     path + "/" + name_of(part));
            }
            return;
        }
        const TopoDS_Shape shape = XCAFDoc_ShapeTool::GetShape(label).Moved(place);
        for (TopExp_Explorer it(shape, TopAbs_SOLID); it.More(); it.Next())
            solids_.push_back(measured(it.Current(), path));
    }
    static Part21Solid measured(const TopoDS_Shape& solid, const std::string& path) {
        constexpr double inf = std::numeric_limits<double>::infinity();
        Part21Solid out{path, 0, 0, {inf, inf, inf, -inf, -inf, -inf}, 0};
        GProp_GProps volume, area;
        BRepGProp::VolumeProperties(solid, volume);
        BRepGProp::SurfaceProperties(solid, area);
        out.volume_m3 = volume.Mass();
        out.area_m2 = area.Mass();
        for (TopExp_Explorer it(solid, TopAbs_VERTEX); it.More(); it.Next()) {
            const gp_Pnt p = BRep_Tool::Pnt(TopoDS::Vertex(it.Current()));
            for (int k = 0; k < 3; ++k) {
                auto &low = out.bounds_m[static_cast<std::size_t>(k)],
                     &high = out.bounds_m[static_cast<std::size_t>(k) + 3];
                low = std::min(low, p.Coord(k + 1));
                high = std::max(high, p.Coord(k + 1));
            }
        }
        for (TopExp_Explorer it(solid, TopAbs_FACE); it.More(); it.Next()) ++out.n_faces;
        return out;
    }

    opencascade::handle<TDocStd_Document> document_;
    opencascade::handle<XCAFDoc_ShapeTool> tool_;
    Solids solids_;
};

Solids kernel_solids(const std::filesystem::path& file) {
    return KernelReader(file).solids();
}

void expect_same(const Solids& seen, const Solids& wanted, const std::string& by) {
    SCOPED_TRACE(by);
    ASSERT_EQ(seen.size(), wanted.size());
    for (std::size_t k = 0; k < wanted.size(); ++k) {
        const Part21Solid& solid = wanted[k];
        SCOPED_TRACE(solid.name);
        EXPECT_EQ(seen[k].name, solid.name);
        EXPECT_EQ(seen[k].n_faces, solid.n_faces);
        EXPECT_NEAR(seen[k].volume_m3, solid.volume_m3, 1e-9 * solid.volume_m3);
        EXPECT_NEAR(seen[k].area_m2, solid.area_m2, 1e-9 * solid.area_m2);
        for (std::size_t i = 0; i < 6; ++i)
            EXPECT_NEAR(seen[k].bounds_m[i], solid.bounds_m[i],
                        1e-9 * (1 + std::abs(solid.bounds_m[i])));
    }
}

/// Another colour for every face, so that every shared part is copied.
std::vector<FaceColour> many_colours(const Model& model) {
    std::vector<FaceColour> colours;
    for (std::size_t f = 0; f < model.faces.size(); ++f) {
        const float x = static_cast<float>(f % 89) / 89;
        colours.push_back({FaceId(f), {x, 1 - x, 0.4F}});
    }
    return colours;
}

class ColouredSolids : public testing::Test {
  protected:
    void colour(const std::filesystem::path& source, const std::vector<PrismBody>& added = {}) {
        Model model = read_step(source);
        append_bodies(model, added, "added shades");
        const auto report = write_coloured_step(source, target_, model, many_colours(model), added);
        EXPECT_TRUE(report.warnings.empty());
        EXPECT_EQ(report.n_coloured, model.faces.size());
    }
    void expect_same_solids_in_both_readers(const std::filesystem::path& source,
                                            std::size_t n_solids) {
        const Solids text = read_part21_solids(source), kernel = kernel_solids(source);
        ASSERT_EQ(text.size(), n_solids);
        ASSERT_EQ(kernel.size(), n_solids);
        // The two readers agree about the source: neither is blind.
        double text_m3 = 0, kernel_m3 = 0;
        for (std::size_t k = 0; k < n_solids; ++k) {
            text_m3 += text[k].volume_m3;
            kernel_m3 += kernel[k].volume_m3;
        }
        EXPECT_NEAR(text_m3, kernel_m3, 1e-9 * kernel_m3);
        colour(source);
        expect_same(read_part21_solids(target_), text, "the text alone");
        expect_same(kernel_solids(target_), kernel, "the CAD kernel");
    }

    mesh_checks::ScratchFolder folder_;
    std::filesystem::path source_ = folder_ / "source.step", target_ = folder_ / "coloured.step";
};

TEST_F(ColouredSolids, OfTheStation) {
    expect_same_solids_in_both_readers(NOONSHELL_SOURCE_DIR "/models/station.step", 16);
}

TEST_F(ColouredSolids, OfANestedAssemblyOfSharedParts) {
    cad_shapes::write_nested_assembly(source_);
    expect_same_solids_in_both_readers(source_, 4);
}

TEST_F(ColouredSolids, OfTwoDetailedContainersThatShareTheirParts) {
    const auto facts = test_support::write_detailed_container(
        source_,
        {.placements = {{"first"}, {"second", Vec3(0, 5, 0), 90}}, .unit = LengthUnit::inch});
    // Its door bars are round: the reader of the text alone does not know such.
    const Solids before = kernel_solids(source_);
    ASSERT_EQ(before.size(), 2 * facts.n_solids);
    colour(source_);
    expect_same(kernel_solids(target_), before, "the CAD kernel");
}

struct Form {
    StepSchema schema;
    LengthUnit unit;
    std::string name;
};

std::vector<Form> forms() {
    std::vector<Form> all;
    for (const auto& [schema, schema_name] : {std::pair{StepSchema::ap203, "ap203"},
                                              {StepSchema::ap214, "ap214"},
                                              {StepSchema::ap242, "ap242"}}) {
        for (const auto& [unit, unit_name] : {std::pair{LengthUnit::millimetre, "mm"},
                                              {LengthUnit::metre, "m"},
                                              {LengthUnit::inch, "inch"}}) {
            all.push_back({schema, unit, std::string(schema_name) + "_" + unit_name});
        }
    }
    return all;
}

class ColouredForms : public ColouredSolids, public testing::WithParamInterface<Form> {
  protected:
    /// Invented: a turned box, a tilted plate and a box in an assembly, two of them coloured.
    void write() {
        write_blocks({{"hut", "", {1, 2, 0}, {6.058, 2.438, 2.591}, 14, 0, Rgb{0.8F, 0.1F, 0.1F}},
                      {"canopy", "", {0, 0, 3}, {7, 3, 0.05}, 14, 8, std::nullopt},
                      {"store", "yard", {9, 0, 0}, {3, 2.5, 2.6}, 0, 0, Rgb{0.1F, 0.1F, 0.8F}}},
                     source_, {GetParam().schema, GetParam().unit, "site"});
    }
};

TEST_P(ColouredForms, KeepTheirSolids) {
    write();
    expect_same_solids_in_both_readers(source_, 3);
}

TEST_P(ColouredForms, TakeAShadeInTheirOwnUnit) {
    write();
    // A level sheet of 4 x 3 x 0.05 m with its lower corner at (-1, 2, 5).
    const std::vector<PrismBody> added{
        {"roof", {{{{-1, 2, 5}, {3, 2, 5}, {3, 5, 5}, {-1, 5, 5}}, {0, 0, 0.05}}}}};
    colour(source_, added);
    for (const bool by_text : {true, false}) {
        const Solids before = by_text ? read_part21_solids(source_) : kernel_solids(source_);
        Solids after = by_text ? read_part21_solids(target_) : kernel_solids(target_);
        const auto is_roof = [](const Part21Solid& s) { return s.name.ends_with("roof"); };
        const auto roof = std::find_if(after.begin(), after.end(), is_roof);
        ASSERT_TRUE(roof != after.end());
        EXPECT_THAT(roof->name, testing::HasSubstr("added shades"));
        EXPECT_NEAR(roof->volume_m3, 0.6, 1e-9);
        const std::array<double, 6> bounds{-1, 2, 5, 3, 5, 5.05};
        for (std::size_t i = 0; i < 6; ++i) EXPECT_NEAR(roof->bounds_m[i], bounds[i], 1e-9);
        after.erase(roof);
        expect_same(after, before, by_text ? "the text alone" : "the CAD kernel");
    }
}

INSTANTIATE_TEST_SUITE_P(Schemas, ColouredForms, testing::ValuesIn(forms()),
                         [](const auto& form) { return form.param.name; });

}  // namespace
}  // namespace noonshell
