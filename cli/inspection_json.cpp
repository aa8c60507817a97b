#include "cli/against.hpp"
#include "cli/inspection.hpp"
#include "cli/json_parts.hpp"
#include "geometry/colours.hpp"

namespace noonshell {

namespace {

Json list_of(const std::vector<std::string>& texts) {
    Json list = Json::array();
    for (const std::string& text : texts) list.push_back(json_text(text));
    return list;
}

Json body_documents(const Inspection& inspection) {
    Json list = Json::array();
    for (std::size_t b = 0; b < inspection.model.bodies.size(); ++b) {
        const Body& body = inspection.model.bodies[b];
        const RoleChoice& choice = inspection.roles[b];
        Json colours = Json::array();
        for (const ColourCount& of : face_colours(inspection.model, body)) {
            colours.push_back({{"colour", of.hex}, {"faces", of.n_faces}});
        }
        list.push_back({{"id", json_text(body.id)},
                        {"name", json_text(body.name)},
                        {"path", json_text(body.path)},
                        {"role", to_string(choice.role)},
                        {"role_guessed", choice.guessed},
                        {"role_why", json_text(choice.why)},
                        {"unit", choice.role == Role::unit ? json_text(choice.unit) : Json("")},
                        {"shade", choice.role == Role::shade ? json_text(choice.unit) : Json("")},
                        {"colour", body.colour ? Json(hex_of(*body.colour)) : Json(nullptr)},
                        {"face_colours", std::move(colours)},
                        {"solid", body.solid},
                        {"faces", body.n_faces},
                        {"area_m2", body.area_m2},
                        {"volume_m3", body.volume_m3},
                        {"repaired", list_of(body.repaired)}});
    }
    return list;
}

Json unit_documents(const Inspection& inspection) {
    Json list = Json::array();
    for (const Unit& unit : inspection.envelope.units) {
        Json bodies = Json::array();
        for (const BodyId body : unit.bodies)
            bodies.push_back(json_text(inspection.model.bodies[body.index()].id));
        list.push_back({{"id", json_text(unit.id)},
                        {"bodies", std::move(bodies)},
                        {"floor_area_m2", unit.floor_area_m2},
                        {"volume_m3", unit.volume_m3},
                        {"how", json_text(unit.how)},
                        {"repaired", list_of(unit.repaired)}});
    }
    return list;
}

Json surface_documents(const Envelope& envelope) {
    Json list = Json::array();
    for (const Surface& surface : envelope.surfaces) {
        Json entry = json_surface(envelope, surface);
        entry["faces"] = surface.n_faces;
        entry["developed_area_m2"] = surface.developed_area_m2;
        list.push_back(std::move(entry));
    }
    return list;
}

Json contacts_of(const Envelope& envelope) {
    Json list = Json::array();
    for (const Contact& contact : envelope.contacts) {
        const Json other = contact.on_ground() ? Json("ground")
                                               : json_text(envelope.surfaces[contact.b.index()].id);
        list.push_back({{"a", json_text(envelope.surfaces[contact.a.index()].id)},
                        {"b", other},
                        {"area_m2", contact.area_m2},
                        {"gap_m", contact.gap_m}});
    }
    return list;
}

Json left_out_of(const Model& model) {
    Json list = Json::array();
    for (const LeftOut& left : model.left_out) {
        list.push_back({{"entity", json_text(left.entity)},
                        {"count", left.count},
                        {"body", json_text(left.body)},
                        {"name", json_text(left.name)},
                        {"reason", json_text(left.reason)},
                        {"area_m2", left.area_known ? Json(left.area_m2) : Json(nullptr)}});
    }
    return list;
}

}  // namespace

std::string inspection_json(const Inspection& inspection) {
    Json document;
    document["file"] = json_text(inspection.model.file);
    document["schema"] = json_text(inspection.model.schema);
    document["length_unit"] = json_text(inspection.model.length_unit);
    document["up"] = json_text(inspection.model.up);
    document["north_deg"] = inspection.envelope.north_deg;
    if (!inspection.no_unit) document["ground_z_m"] = inspection.envelope.ground_z_m;
    document["bbox_m"] = inspection.model.bbox_m;
    document["bodies"] = body_documents(inspection);
    document["units"] = unit_documents(inspection);
    document["surfaces"] = surface_documents(inspection.envelope);
    document["contacts"] = contacts_of(inspection.envelope);
    document["left_out"] = left_out_of(inspection.model);
    if (inspection.against) document["against"] = json_against(*inspection.against);
    document["warnings"] = json_warnings(inspection.warnings);
    return document_text(document);
}

}  // namespace noonshell
