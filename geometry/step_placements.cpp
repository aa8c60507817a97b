#include "geometry/step_placements.hpp"

#include <cmath>

#include "geometry/occt_text.hpp"
#include "geometry/vec3.hpp"

namespace noonshell {

namespace {

constexpr int deepest_placement = 64;
constexpr std::size_t most_instances = 100000;

double si_prefix(const std::string& name) {
    static const std::unordered_map<std::string, double> prefixes = {
        {"EXA", 1e18},  {"PETA", 1e15},  {"TERA", 1e12},   {"GIGA", 1e9},
        {"MEGA", 1e6},  {"KILO", 1e3},   {"HECTO", 1e2},   {"DECA", 1e1},
        {"DECI", 1e-1}, {"CENTI", 1e-2}, {"MILLI", 1e-3},  {"MICRO", 1e-6},
        {"NANO", 1e-9}, {"PICO", 1e-12}, {"FEMTO", 1e-15}, {"ATTO", 1e-18}};
    const auto found = prefixes.find(name);
    return found == prefixes.end() ? 1.0 : found->second;
}

Vec3 triple(const StepValue& list, const Vec3& otherwise) {
    if (list.items.size() != 3) return otherwise;
    return {list.at(0).number, list.at(1).number, list.at(2).number};
}

Vec3 unit_vector(const Vec3& v, const Vec3& otherwise) {
    const double length = v.norm();
    return length > 1e-12 ? Vec3(v / length) : otherwise;
}

}  // namespace

StepPlacements::StepPlacements(const StepRecords& records) : records_(records) {
    for (const auto number : records.with("SHAPE_DEFINITION_REPRESENTATION")) {
        const StepValue link = records.read(number);
        const StepValue shape = records.read(link.at(0).reference);
        if (shape.is("PRODUCT_DEFINITION_SHAPE")) {
            definition_of_[link.at(1).reference] = shape.at(2).reference;
        }
    }
    for (const auto number : records.with("CONTEXT_DEPENDENT_SHAPE_REPRESENTATION")) {
        const StepValue link = records.read(number);
        const StepValue shape = records.read(link.at(1).reference);
        const StepValue occurrence = records.read(shape.at(2).reference);
        if (!occurrence.is("NEXT_ASSEMBLY_USAGE_OCCURRENCE")) continue;
        Use use;
        use.parent = occurrence.at(3).reference;
        use.name = one_line(occurrence.at(1).text);
        if (is_filler_occurrence_name(use.name)) use.name.clear();
        use.readable = placement(link.at(0).reference, use);
        uses_[occurrence.at(4).reference].push_back(std::move(use));
    }
    // A second representation of the same part: related to the first without a move.
    for (const auto number : records.with("SHAPE_REPRESENTATION_RELATIONSHIP")) {
        const StepValue relation = records.read(number);
        if (!relation.is("SHAPE_REPRESENTATION_RELATIONSHIP")) continue;
        const std::uint32_t a = relation.at(2).reference, b = relation.at(3).reference;
        if (const auto at = definition_of_.find(a); at != definition_of_.end()) {
            definition_of_.try_emplace(b, at->second);
        } else if (const auto other = definition_of_.find(b); other != definition_of_.end()) {
            definition_of_.try_emplace(a, other->second);
        }
    }
}

double StepPlacements::length_of_unit(std::uint32_t unit, int depth) const {
    if (depth > 4) return 0;
    const StepValue record = records_.read(unit);
    if (record.entity("LENGTH_UNIT").kind == StepValue::Kind::missing) return 0;
    if (const StepValue& si = record.entity("SI_UNIT"); si.kind == StepValue::Kind::typed) {
        return si_prefix(si.at(0).text);
    }
    const StepValue& other = record.entity("CONVERSION_BASED_UNIT");
    const StepValue measure = records_.read(other.at(1).reference);
    // A measure of the type LENGTH_MEASURE, or, from many writers, the bare number.
    const StepValue& value = measure.at(0);
    const double times = value.kind == StepValue::Kind::number ? value.number : value.at(0).number;
    return times * length_of_unit(measure.at(1).reference, depth + 1);
}

double StepPlacements::unit_m(std::uint32_t representation) const {
    const StepValue record = records_.read(representation);
    const StepValue context = records_.read(record.at(2).reference);
    const StepValue& units = context.entity("GLOBAL_UNIT_ASSIGNED_CONTEXT").at(0);
    for (const StepValue& unit : units.items) {
        const double length_m = length_of_unit(unit.reference, 0);
        if (length_m > 0) return length_m;
    }
    return 0;
}

/// An axis2_placement_3d as a frame, axes derived as ISO 10303-42 does (function build_axes).
Eigen::Affine3d StepPlacements::frame(std::uint32_t axes, double length_m) const {
    const StepValue record = records_.read(axes);
    const auto axis = [&](std::size_t i, const Vec3& otherwise) {
        return unit_vector(triple(records_.read(record.at(i).reference).at(1), otherwise),
                           otherwise);
    };
    const Vec3 z = axis(2, Vec3::UnitZ());
    const Vec3 wish = axis(3, Vec3::UnitX());
    Vec3 x = wish - wish.dot(z) * z;
    if (x.norm() < 1e-9) x = Vec3::UnitY().cross(z).norm() > 1e-9 ? Vec3::UnitY() : Vec3::UnitX();
    x = (x - x.dot(z) * z).normalized();
    Eigen::Affine3d out = Eigen::Affine3d::Identity();
    out.linear() << x, z.cross(x), z;
    out.translation() =
        length_m * triple(records_.read(record.at(1).reference).at(1), Vec3::Zero());
    return out;
}

bool StepPlacements::move(std::uint32_t transformation, double child_m, double parent_m,
                          bool child_first, Eigen::Affine3d& out) const {
    const StepValue record = records_.read(transformation);
    if (!record.is("ITEM_DEFINED_TRANSFORMATION")) return false;
    const auto from = record.at(child_first ? 2 : 3).reference;
    const auto to = record.at(child_first ? 3 : 2).reference;
    for (const auto axes : {from, to}) {
        if (!records_.read(axes).is("AXIS2_PLACEMENT_3D")) return false;
    }
    out = frame(to, parent_m) * frame(from, child_m).inverse();
    return true;
}

bool StepPlacements::placement(std::uint32_t relationship, Use& use) const {
    const StepValue relation = records_.read(relationship);
    const StepValue& pair = relation.entity("REPRESENTATION_RELATIONSHIP");
    const StepValue& with = relation.entity("REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION");
    const std::uint32_t first = pair.at(2).reference, second = pair.at(3).reference;
    const auto owner = definition_of_.find(first);
    const bool child_first = owner == definition_of_.end() || owner->second != use.parent;
    const double child_m = unit_m(child_first ? first : second);
    const double parent_m = unit_m(child_first ? second : first);
    return child_m > 0 && parent_m > 0 &&
           move(with.at(0).reference, child_m, parent_m, child_first, use.place);
}

std::string StepPlacements::name_of_part(std::uint32_t definition) const {
    const StepValue formation = records_.read(records_.read(definition).at(2).reference);
    const StepValue product = records_.read(formation.at(2).reference);
    std::string name = one_line(product.at(1).text);
    return is_filler_name(name) ? std::string{} : name;
}

void StepPlacements::collect(std::uint32_t definition, int depth, std::vector<PartInstance>& out,
                             bool& complete) const {
    const auto found = uses_.find(definition);
    if (found == uses_.end()) {
        out.push_back(
            {Eigen::Affine3d::Identity(), name_of_part(definition), name_of_part(definition)});
        return;
    }
    for (const Use& use : found->second) {
        if (!use.readable || depth > deepest_placement || out.size() > most_instances) {
            complete = false;
            continue;
        }
        std::vector<PartInstance> parents;
        collect(use.parent, depth + 1, parents, complete);
        for (PartInstance& parent : parents) {
            const std::string name = use.name.empty() ? name_of_part(definition) : use.name;
            out.push_back({parent.to_model * use.place, name,
                           parent.path.empty() ? name : parent.path + "/" + name});
        }
    }
}

std::vector<PartInstance> StepPlacements::instances(std::uint32_t representation,
                                                    bool& complete) const {
    const auto definition = definition_of_.find(representation);
    if (definition == definition_of_.end()) return {{}};
    std::vector<PartInstance> out;
    collect(definition->second, 0, out, complete);
    return out;
}

}  // namespace noonshell
