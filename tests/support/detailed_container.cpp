#include "tests/support/detailed_container.hpp"

#include <BRepBuilderAPI_Copy.hxx>
#include <BRepBuilderAPI_Transform.hxx>
#include <BRep_Builder.hxx>
#include <TopoDS_Compound.hxx>
#include <gp_Ax2.hxx>
#include <map>
#include <numbers>
#include <optional>
#include <stdexcept>

#include "tests/support/cad_document.hpp"
#include "tests/support/container_solids.hpp"

namespace noonshell::test_support {

namespace {

using P = ContainerPlan;

constexpr double mm = 1000;
constexpr double mm2_per_m2 = 1e6, mm3_per_m3 = 1e9;
constexpr double largest_gap_mm = 20;

gp_Trsf mirror() {
    gp_Trsf mirror;
    mirror.SetMirror(gp_Ax2(gp_Pnt(P::length_mm / 2, 0, 0), gp_Dir(1, 0, 0)));
    return mirror;
}

gp_Trsf placed(const ContainerPlacement& placement) {
    gp_Trsf move, turn;
    move.SetTranslation(
        gp_Vec(placement.corner_m.x(), placement.corner_m.y(), placement.corner_m.z()) * mm);
    turn.SetRotation(gp::OZ(), placement.turn_deg * std::numbers::pi / 180);
    return move * turn;
}

/// A mirrored solid is a shape of its own: a STEP placement only moves and turns.
TopoDS_Shape in_place(const ContainerPart& part, const gp_Trsf& place, bool mirrored) {
    if (!mirrored) return part.solid.Moved(TopLoc_Location(place));
    return BRepBuilderAPI_Transform(part.solid, mirror() * place, true).Shape();
}

std::string numbered(const ContainerPart& part, std::size_t i) {
    return part.places.size() == 1 ? part.name : part.name + "-" + std::to_string(i + 1);
}

/// One container's assembly; `own` makes new solids of all parts.
TDF_Label assembled(CadDocument& document, const std::vector<ContainerPart>& parts,
                    const std::string& name, bool mirrored, bool own) {
    const TDF_Label container = document.assembly(name);
    std::map<std::string, TDF_Label> groups;
    for (const ContainerPart& part : parts) {
        auto group = groups.find(part.group);
        if (group == groups.end()) {
            group = groups.emplace(part.group, document.assembly(part.group)).first;
            document.place(container, group->second, gp_Trsf(), part.group);
        }
        std::optional<TDF_Label> shared;
        for (std::size_t i = 0; i < part.places.size(); ++i) {
            const std::string part_name = numbered(part, i);
            if (mirrored || own) {
                const TopoDS_Shape solid = in_place(part, part.places[i], mirrored);
                const TDF_Label label = document.part(
                    BRepBuilderAPI_Copy(solid.Located(TopLoc_Location())).Shape(), part_name);
                document.place(group->second, label, solid.Location().Transformation(), part_name);
                continue;
            }
            if (!shared) shared = document.part(part.solid, part.name);
            document.place(group->second, *shared, part.places[i], part_name);
        }
    }
    return container;
}

TDF_Label compounded(CadDocument& document, const std::vector<ContainerPart>& parts,
                     const std::string& name, bool mirrored) {
    BRep_Builder builder;
    TopoDS_Compound all;
    builder.MakeCompound(all);
    for (const ContainerPart& part : parts) {
        for (const gp_Trsf& place : part.places) builder.Add(all, in_place(part, place, mirrored));
    }
    return document.part(BRepBuilderAPI_Copy(all).Shape(), name);
}

void check(const ContainerOptions& options) {
    if (!(options.panel_gap_mm >= 0 && options.panel_gap_mm <= largest_gap_mm)) {
        throw std::invalid_argument("panel_gap_mm: expected 0 to 20, saw " +
                                    std::to_string(options.panel_gap_mm));
    }
    if (options.placements.empty()) throw std::invalid_argument("placements: expected one or more");
}

SheetFacts sheet(double length_mm, double developed_mm, double height_mm) {
    return {length_mm * height_mm / mm2_per_m2, developed_mm * height_mm / mm2_per_m2};
}

}  // namespace

ContainerFacts container_facts(const ContainerOptions& options) {
    check(options);
    const double gap = options.panel_gap_mm;
    const ContainerPlan cut(gap), whole(0);
    const double wall_height = P::wall_top_mm - P::floor_top_mm;
    const double roof_width = P::width_mm - 2 * P::rail_mm, roof_length = whole.roof.length_mm();
    const double roof_depth = P::sheet_mm + (options.folded_roof ? roof_fold.depth_mm : 0);
    const double roof_relief =
        options.folded_roof ? whole.roof.relief_mm2() : roof_length * P::sheet_mm;

    ContainerFacts facts{};
    facts.outer_m = Vec3(P::length_mm, P::width_mm, P::height_mm) / mm;
    for (const ContainerPart& part : container_parts(options)) {
        facts.n_solids += part.places.size();
        facts.n_faces += part.places.size() * part.n_faces;
        facts.solids_m3 += static_cast<double>(part.places.size()) * part.volume_mm3 / mm3_per_m3;
    }
    const auto wall = [&](const FoldedSheet& side) {
        return sheet(side.length_mm(), side.developed_mm(), wall_height - 2 * gap);
    };
    facts.side_wall = wall(cut.side_wall);
    facts.front_wall = wall(cut.front_wall);
    facts.roof = sheet(cut.roof.length_mm(),
                       options.folded_roof ? cut.roof.developed_mm() : cut.roof.length_mm(),
                       roof_width - 2 * gap);
    facts.clear_m = Vec3(P::door_inside_mm - front_wall_fold.depth_mm - P::sheet_mm,
                         P::width_mm - 2 * (side_wall_fold.depth_mm + P::sheet_mm),
                         P::roof_top_mm - roof_depth - P::floor_top_mm) /
                    mm;
    // Between the side walls; the pocket between the front posts; that between the door posts.
    const double between_posts = P::width_mm - 2 * P::post_y_mm;
    const double floor_mm2 = whole.side_wall.length_mm() * P::width_mm -
                             2 * whole.side_wall.relief_mm2() + P::post_x_mm * between_posts -
                             whole.front_wall.relief_mm2() +
                             (P::door_inside_mm - (P::length_mm - P::post_x_mm)) * between_posts;
    const double below_roof_mm3 =
        roof_width * (roof_length * (P::roof_top_mm - P::wall_top_mm) - roof_relief);
    facts.floor_m2 = floor_mm2 / mm2_per_m2;
    facts.room_m3 = (floor_mm2 * wall_height + below_roof_mm3) / mm3_per_m3;
    return facts;
}

ContainerFacts write_detailed_container(const std::filesystem::path& file,
                                        const ContainerOptions& options) {
    check(options);
    const std::vector<ContainerPart> parts = container_parts(options);
    CadDocument document;
    const TDF_Label root = document.assembly("site");
    std::map<bool, TDF_Label> shared;  // by mirrored or not
    for (const ContainerPlacement& placement : options.placements) {
        const bool mirrored = placement.mirrored;
        auto container = shared.find(mirrored);
        if (container == shared.end() || options.separate_copies) {
            const TDF_Label made =
                options.form == ContainerForm::compound
                    ? compounded(document, parts, placement.name, mirrored)
                    : assembled(document, parts, placement.name, mirrored, options.separate_copies);
            container = shared.insert_or_assign(mirrored, made).first;
        }
        document.place(root, container->second, placed(placement), placement.name);
    }
    document.write(file, options.unit);
    return container_facts(options);
}

}  // namespace noonshell::test_support
