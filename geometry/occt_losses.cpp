#include "geometry/occt_losses.hpp"

#include <algorithm>
#include <charconv>
#include <map>
#include <string_view>
#include <unordered_map>
#include <unordered_set>
#include <utility>

#include "geometry/occt_assembly.hpp"
#include "geometry/occt_document.hpp"
#include "geometry/occt_faults.hpp"
#include "geometry/step_corners.hpp"
#include "geometry/step_structure.hpp"

namespace noonshell {

namespace {

/// Number of "#12"; 0 for anything else.
std::uint32_t number_of(std::string_view entity) {
    std::uint32_t number = 0;
    if (entity.starts_with('#')) {
        std::from_chars(entity.data() + 1, entity.data() + entity.size(), number);
    }
    return number;
}

/// Areas added up, as far as they are known.
struct AreaSum {
    double area_m2 = 0;
    std::size_t n_unknown = 0;
    void add(const std::optional<double>& area) {
        area_m2 += area.value_or(0);
        n_unknown += !area;
    }
};

/// The faces of one body of the file, all or some of which are lost.
struct FileBody {
    std::vector<std::uint32_t> lost;
    bool any_read = false;
};

class Ledger {
  public:
    Ledger(const OcctDocument& loaded, AssemblyTally& tally, Model& model)
        : loaded_(loaded),
          tally_(tally),
          model_(model),
          text_(loaded.file_text()),
          records_(text_),
          structure_(records_) {
        if (loaded.length_units.size() == 1) unit_m_ = loaded.length_units.front().length_m;
        find_bodies();
    }

    void run() {
        complete_rows();
        for (auto& [entity, body] : bodies_) {
            if (body.lost.empty()) continue;
            if (body.any_read) {
                tell_faces(entity, body);
            } else {
                tell_body(entity, body);
            }
        }
        tell_solids_without_faces();
        tell_empty_parts();
        name_faults(loaded_, structure_, model_);
        tell_lost_placements();
    }

  private:
    void find_bodies();
    bool was_read(std::uint32_t face) const;
    void complete_rows();
    void measure(LeftOut& row, std::uint32_t entity);
    std::optional<double> area_of_file_face(std::uint32_t entity) const;
    std::vector<std::uint32_t> strays_of(std::uint32_t face) const;
    void tell_faces(std::uint32_t entity, const FileBody& body);
    void tell_body(std::uint32_t entity, const FileBody& body);
    bool is_solid(std::uint32_t entity) const;
    void tell_lost(std::uint32_t entity, const AreaSum& area, std::uint32_t definition,
                   std::string reason);
    void tell_solids_without_faces();
    void tell_empty_parts();
    void tell_lost_placements();

    std::uint32_t owner_of(std::uint32_t body);
    std::string owner_name(std::uint32_t definition) const;
    std::string name_in_file(std::uint32_t entity) const;
    double places_of(std::uint32_t definition) const;
    std::string own_name(std::uint32_t entity, const std::string& owner) const;
    /// Name of the body in the model that came from this one of the file; else of its product.
    std::string body_name(std::uint32_t body);

    const OcctDocument& loaded_;
    AssemblyTally& tally_;
    Model& model_;
    std::string text_;
    StepRecords records_;
    StepStructure structure_;
    double unit_m_ = 0;
    std::map<std::uint32_t, FileBody> bodies_;               ///< by entity
    std::unordered_map<std::uint32_t, std::uint32_t> body_;  ///< by face
    std::unordered_map<std::uint32_t, std::string> model_name_;
    std::unordered_map<std::uint32_t, std::uint32_t> owner_;
    std::unordered_set<std::uint32_t> told_faces_;   ///< have a row of their own
    std::unordered_set<std::uint32_t> told_owners_;  ///< definitions that lost a whole body
};

bool Ledger::was_read(std::uint32_t face) const {
    if (tally_.face_entities.contains(face)) return true;
    const auto shape = loaded_.face_shapes.find(face);
    return shape != loaded_.face_shapes.end() && tally_.faces_read.contains(shape->second);
}

void Ledger::find_bodies() {
    std::unordered_set<std::uint32_t> read_solids;
    for (const SolidInFile& solid : loaded_.solids) {
        if (tally_.faces_read.contains(solid.a_face)) read_solids.insert(solid.step_entity);
    }
    for (const std::uint32_t face : structure_.faces()) {
        const std::uint32_t entity = structure_.body_of(face);
        body_[face] = entity;
        FileBody& body = bodies_[entity];
        if (was_read(face)) {
            body.any_read = true;
        } else {
            body.lost.push_back(face);
        }
    }
    for (auto& [entity, body] : bodies_) {
        body.any_read = body.any_read || read_solids.contains(entity);
        if (!body.any_read) continue;
        // The kernel made these and then put others in their place, or found them twice.
        std::erase_if(body.lost, [&](std::uint32_t f) { return loaded_.face_shapes.contains(f); });
    }
    for (const Body& body : model_.bodies) {
        for (std::uint32_t f = body.first_face; f < body.first_face + body.n_faces; ++f) {
            const auto found = body_.find(model_.faces[f].step_entity);
            if (found != body_.end()) model_name_.try_emplace(found->second, body.id);
        }
    }
}

std::optional<double> Ledger::area_of_file_face(std::uint32_t entity) const {
    if (!(unit_m_ > 0)) return std::nullopt;
    std::optional<double> area;
    if (structure_.has(entity)) area = area_from_corners(records_, entity);
    if (!area) area = area_of_bounds(records_, strays_of(entity));
    if (area) *area *= unit_m_ * unit_m_;
    return area;
}

/// What no record lists and may belong to a face: it, one of its bounds or a bound's loop is
/// missing.
std::vector<std::uint32_t> Ledger::strays_of(std::uint32_t face) const {
    std::vector<std::uint32_t> missing;
    const auto look_at = [&](std::uint32_t entity) {
        if (!structure_.has(entity)) missing.push_back(entity);
        return structure_.has(entity);
    };
    if (look_at(face)) {
        for (const std::uint32_t bound : bounds_of(records_, face)) {
            if (look_at(bound)) look_at(records_.read(bound).at(1).reference);
        }
    }
    std::vector<std::uint32_t> strays;
    for (const std::uint32_t stray : structure_.stray_bounds()) {
        const std::uint32_t nearest = structure_.nearest_missing(stray);
        if (std::ranges::find(missing, nearest) != missing.end()) strays.push_back(stray);
    }
    return strays;
}

void Ledger::measure(LeftOut& row, std::uint32_t entity) {
    const auto area = area_of_file_face(entity);
    row.area_known = area.has_value();
    row.area_m2 = area.value_or(0);
    const MissingRecord missing = structure_.missing_below(entity);
    if (missing.number != 0) {
        row.reason += ": " + told(missing);
    } else if (const std::uint32_t odd = unknown_type_in(entity, loaded_, structure_); odd != 0) {
        row.reason += ": " + hash(odd) + " is of the unknown type " + structure_.keyword(odd);
    }
    row.reason += area ? " (area from its corners)" : " (area unknown)";
}

/// Rows of faces that the kernel could not make or passed over, and of faces without an outline.
void Ledger::complete_rows() {
    for (LeftOut& row : model_.left_out) {
        const std::uint32_t entity = number_of(row.entity);
        if (entity == 0) continue;
        told_faces_.insert(entity);
        if (row.is_double) continue;
        // A face made in spite of a missing record has the area of what was left of it.
        const bool mangled = structure_.missing_below(entity).number != 0;
        if (row.area_known && !(mangled && area_of_file_face(entity))) continue;
        if (row.reason == "this face has no bounds" && !bounds_of(records_, entity).empty()) {
            row.reason = "the CAD kernel could not make the bounds of this face";
        }
        measure(row, entity);
        if (!row.body.empty()) continue;  // an entry for each place stands there already
        // What stands for another face belongs where that one does.
        const StepValue record = records_.read(entity);
        for (const StepValue& item : record.items) {
            if (body_.contains(item.reference)) told_faces_.insert(item.reference);
        }
        const std::uint32_t body = structure_.body_of(entity);
        row.body = body_name(body);
        row.area_m2 *= places_of(owner_of(body));
    }
}

void Ledger::tell_faces(std::uint32_t entity, const FileBody& body) {
    for (const std::uint32_t face : body.lost) {
        if (told_faces_.contains(face)) continue;
        LeftOut row{.entity = hash(face),
                    .name = name_in_file(face),
                    .reason = "the CAD kernel did not take this face",
                    .body = body_name(entity)};
        measure(row, face);
        row.area_m2 *= places_of(owner_of(entity));
        model_.left_out.push_back(std::move(row));
    }
}

void Ledger::tell_body(std::uint32_t entity, const FileBody& body) {
    const std::uint32_t definition = owner_of(entity);
    // What nobody refers to, in a file where nothing is missing, is no part of anything.
    if (definition == 0 && structure_.missing().empty() && !is_solid(entity)) return;
    // Faces that already have rows of their own are told with the body.
    AreaSum area;
    for (const std::uint32_t face : body.lost) area.add(area_of_file_face(face));
    std::erase_if(model_.left_out, [&](const LeftOut& row) {
        return std::ranges::find(body.lost, number_of(row.entity)) != body.lost.end();
    });
    const bool made = std::ranges::any_of(loaded_.solids, [&](const SolidInFile& solid) {
        return solid.step_entity == entity && solid.a_face != nullptr;
    });
    const bool placed = tally_.parts.contains(definition);
    const std::string what = is_solid(entity) ? "solid" : "body";
    std::string reason = made || !placed ? "no readable entry of the assembly places this " + what
                                         : "the CAD kernel could not translate this " + what;
    MissingRecord missing = structure_.missing_below(entity);
    if (missing.number == 0) missing = structure_.missing_in_shape_of(definition);
    const bool held = missing.number != 0 || structure_.definition_of(entity) != 0;
    if (!held) reason = "no part of the file holds this " + what;
    if (missing.number != 0) reason += ": " + told(missing);
    tell_lost(entity, area, definition, std::move(reason));
}

bool Ledger::is_solid(std::uint32_t entity) const {
    return std::ranges::find(loaded_.solids, entity, &SolidInFile::step_entity) !=
           loaded_.solids.end();
}

void Ledger::tell_lost(std::uint32_t entity, const AreaSum& area, std::uint32_t definition,
                       std::string reason) {
    const double places = places_of(definition);
    if (const auto part = tally_.parts.find(definition); part != tally_.parts.end()) {
        if (part->second.n > 1) reason += "; " + std::to_string(part->second.n) + " places";
    }
    if (area.n_unknown > 0 && area.area_m2 > 0) {
        char text[96];
        std::snprintf(text, sizeof text, " (at least %.2f m2; area of %zu faces unknown)",
                      area.area_m2 * places, area.n_unknown);
        reason += text;
    } else {
        reason += area.n_unknown > 0 ? " (area unknown)" : " (area from its corners)";
    }
    const std::string owner = owner_name(definition);
    model_.left_out.push_back({.entity = hash(entity),
                               .name = own_name(entity, owner),
                               .reason = std::move(reason),
                               .area_m2 = area.area_m2 * places,
                               .area_known = area.n_unknown == 0,
                               .body = owner});
    told_owners_.insert(definition);
}

/// Solids of other kinds than a boundary of faces.
void Ledger::tell_solids_without_faces() {
    for (const SolidInFile& solid : loaded_.solids) {
        if (bodies_.contains(solid.step_entity)) continue;
        if (solid.a_face != nullptr && tally_.faces_read.contains(solid.a_face)) continue;
        const std::uint32_t definition = owner_of(solid.step_entity);
        const MissingRecord missing = structure_.missing_below(solid.step_entity);
        tell_lost(solid.step_entity, {.area_m2 = 0, .n_unknown = 1}, definition,
                  "the CAD kernel could not translate this solid" +
                      (missing.number == 0 ? "" : ": " + told(missing)));
    }
}

void Ledger::tell_empty_parts() {
    for (const EmptyPart& part : tally_.empty_parts) {
        if (part.definition != 0 && told_owners_.contains(part.definition)) continue;
        const MissingRecord missing =
            part.curves ? MissingRecord{} : structure_.missing_in_shape_of(part.definition);
        std::string reason =
            part.curves ? "this part holds curves or points only" : "this part holds no geometry";
        if (missing.number != 0) reason += ": " + told(missing) + " (area unknown)";
        model_.left_out.push_back({.entity = hash(part.definition),
                                   .name = {},
                                   .reason = std::move(reason),
                                   .area_known = missing.number == 0,
                                   .body = part.name});
    }
}

void Ledger::tell_lost_placements() {
    std::map<std::uint32_t, MissingRecord> missing_of;  // by definition
    for (const auto& [definition, missing] : structure_.badly_placed()) {
        missing_of.try_emplace(definition, missing);
    }
    if (missing_of.empty()) return;
    for (const Body& body : model_.bodies) {
        const auto entity = body_.find(model_.faces[body.first_face].step_entity);
        if (entity == body_.end()) continue;
        const auto found = missing_of.find(owner_of(entity->second));
        if (found == missing_of.end()) continue;
        model_.warnings.push_back({"placement-lost",
                                   "the placement of this body cannot be read, so that it may "
                                   "stand in the wrong place: " +
                                       told_of_placement(found->second),
                                   body.id});
    }
}

std::uint32_t Ledger::owner_of(std::uint32_t body) {
    const auto [found, is_new] = owner_.try_emplace(body, 0);
    if (!is_new) return found->second;
    std::uint32_t owner = structure_.definition_of(body);
    if (owner == 0) {
        // A link to the product is lost altogether: the nearest product without geometry.
        const auto distance = [&](std::uint32_t d) { return d > body ? d - body : body - d; };
        for (const EmptyPart& part : tally_.empty_parts) {
            if (part.definition == 0 || part.curves) continue;
            if (owner == 0 || distance(part.definition) < distance(owner)) owner = part.definition;
        }
    }
    return owner_[body] = owner;
}

std::string Ledger::owner_name(std::uint32_t definition) const {
    if (definition == 0) return {};
    const auto part = tally_.parts.find(definition);
    if (part != tally_.parts.end() && !part->second.name.empty()) return part->second.name;
    return name_in_file(definition);
}

double Ledger::places_of(std::uint32_t definition) const {
    const auto part = tally_.parts.find(definition);
    const bool placed = definition != 0 && part != tally_.parts.end() && part->second.n > 0;
    return placed ? part->second.sum_scale2 : 1;
}

std::string Ledger::name_in_file(std::uint32_t entity) const {
    const auto found = loaded_.names.find(entity);
    return found == loaded_.names.end() ? std::string{} : found->second;
}

std::string Ledger::own_name(std::uint32_t entity, const std::string& owner) const {
    std::string name = name_in_file(entity);
    return name == owner ? std::string{} : name;
}

std::string Ledger::body_name(std::uint32_t body) {
    const auto found = model_name_.find(body);
    return found != model_name_.end() ? found->second : owner_name(owner_of(body));
}

/// Faces below this are slivers of the export, left out of sound files as well.
constexpr double least_area_m2 = 1e-6;

/// True where a look at the records is worth its time.
bool is_amiss(const OcctDocument& loaded, const AssemblyTally& tally, const Model& model) {
    if (loaded.any_error || !loaded.faulty.empty() || !tally.empty_parts.empty()) return true;
    for (const LeftOut& row : model.left_out) {
        if (!row.is_double && (!row.area_known || row.area_m2 > least_area_m2)) return true;
    }
    for (const SolidInFile& solid : loaded.solids) {
        if (!tally.faces_read.contains(solid.a_face)) return true;
    }
    return std::ranges::any_of(loaded.faces, [&](std::uint32_t face) {
        const auto shape = loaded.face_shapes.find(face);
        return shape == loaded.face_shapes.end() || !tally.faces_read.contains(shape->second);
    });
}

}  // namespace

void note_losses(const OcctDocument& loaded, AssemblyTally& tally, Model& model) {
    if (is_amiss(loaded, tally, model)) Ledger(loaded, tally, model).run();
    for (const SolidInFile& solid : loaded.solids) tally.faces_read.insert(solid.a_face);
}

}  // namespace noonshell
