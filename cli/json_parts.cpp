#include "cli/json_parts.hpp"

#include "cli/utf8.hpp"

namespace noonshell {

Json json_text(std::string_view text) {
    return printable(text);
}

Json json_vector(const Vec3& vector) {
    return Json::array({vector.x(), vector.y(), vector.z()});
}

Json json_warnings(std::span<const Warning> warnings) {
    Json list = Json::array();
    for (const Warning& warning : warnings) {
        list.push_back({{"code", warning.code},
                        {"text", json_text(warning.text)},
                        {"where", json_text(warning.where)}});
    }
    return list;
}

Json json_surface(const Envelope& envelope, const Surface& surface) {
    Json entry;
    entry["id"] = json_text(surface.id);
    entry["unit"] =
        surface.unit.valid() ? json_text(envelope.units[surface.unit.index()].id) : Json(nullptr);
    entry["kind"] = to_string(surface.kind);
    entry["azimuth_deg"] = surface.azimuth_deg;
    entry["tilt_deg"] = surface.tilt_deg;
    entry["normal"] = json_vector(surface.normal);
    entry["centroid_m"] = json_vector(surface.centroid_m);
    entry["area_m2"] = surface.area_m2;
    entry["exposed_area_m2"] = surface.exposed_area_m2;
    return entry;
}

std::string document_text(const Json& document) {
    return document.dump(2) + "\n";
}

}  // namespace noonshell
