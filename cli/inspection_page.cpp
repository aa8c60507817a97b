#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "cli/against.hpp"
#include "cli/inspection.hpp"
#include "cli/page_parts.hpp"
#include "cli/table.hpp"
#include "cli/utf8.hpp"

namespace noonshell {

namespace {

std::string number(double value, int decimals = 2) {
    return fmt::format("{:.{}f}", value, decimals);
}

std::string head_of(const Inspection& inspection) {
    const Model& model = inspection.model;
    const auto& box = model.bbox_m;
    std::string text = printable(model.file) + "\n";
    text += fmt::format("  STEP {}; length unit {}; up is {}\n", printable(model.schema),
                        printable(model.length_unit), printable(model.up));
    text += fmt::format(
        "  size {:.2f} x {:.2f} x {:.2f} m; x {:.2f} to {:.2f}, y {:.2f} to {:.2f}, "
        "z {:.2f} to {:.2f} m\n",
        box[3] - box[0], box[4] - box[1], box[5] - box[2], box[0], box[3], box[1], box[4], box[2],
        box[5]);
    text += fmt::format("  the model's +Y axis points to compass azimuth {:g} degrees{}\n",
                        inspection.envelope.north_deg,
                        inspection.north_given ? "" : " (assumed: no site file given)");
    return text;
}

/// What one row of the table of bodies tells: a body, all bodies that make up a unit together, or
/// all small fittings. `--json` lists each.
struct BodyRow {
    std::string name;
    const RoleChoice* choice = nullptr;
    std::size_t bodies = 0, faces = 0, closed = 0;
    double area_m2 = 0, volume_m3 = 0;

    void add(const Body& body) {
        ++bodies;
        faces += body.n_faces;
        closed += body.solid ? 1 : 0;
        area_m2 += body.area_m2;
        volume_m3 += body.volume_m3;
    }
    std::string closed_text() const {
        if (closed == bodies) return bodies == 1 ? "yes" : "all";
        return closed == 0 ? "no" : fmt::format("{} of {}", closed, bodies);
    }
};

std::vector<BodyRow> body_rows(const Inspection& inspection) {
    std::vector<BodyRow> rows;
    std::map<std::string, std::size_t> row_of_group;
    constexpr int most_fittings_listed = 5;
    const bool many_fittings =
        std::count_if(inspection.roles.begin(), inspection.roles.end(), [](const RoleChoice& c) {
            return c.guessed && c.role == Role::ignore;
        }) > most_fittings_listed;
    for (std::size_t b = 0; b < inspection.model.bodies.size(); ++b) {
        const Body& body = inspection.model.bodies[b];
        const RoleChoice& choice = inspection.roles[b];
        const bool fitting = choice.guessed && choice.role == Role::ignore;
        const std::string group = fitting && many_fittings ? "small fittings" : choice.unit;
        std::size_t row = rows.size();
        if (!group.empty()) row = row_of_group.try_emplace(group, row).first->second;
        if (row == rows.size()) rows.push_back({group.empty() ? body.id : group, &choice});
        rows[row].add(body);
    }
    return rows;
}

/// Reasons quote patterns and names.
constexpr std::size_t most_reason_columns = 200;

std::string bodies_of(const Inspection& inspection) {
    TextTable table({{"body"},
                     {"role"},
                     {"faces", Align::right},
                     {"area m2", Align::right},
                     {"volume m3", Align::right},
                     {"closed"},
                     {"why this role"}});
    for (const BodyRow& row : body_rows(inspection)) {
        table.add_row(
            {row.bodies == 1 ? short_name(row.name)
                             : fmt::format("{} ({} bodies)", short_name(row.name), row.bodies),
             std::string(to_string(row.choice->role)), std::to_string(row.faces),
             number(row.area_m2), row.closed > 0 ? number(row.volume_m3) : "-", row.closed_text(),
             short_name((row.choice->guessed ? "guessed: " : "given: ") + row.choice->why,
                        most_reason_columns)});
    }
    std::string repairs;
    for (const Body& body : inspection.model.bodies) {
        for (const std::string& what : body.repaired)
            repairs += fmt::format("  {}: {}\n", short_name(body.id),
                                   short_name(what, most_reason_columns));
    }
    for (const Unit& unit : inspection.envelope.units) {
        for (const std::string& what : unit.repaired)
            repairs += fmt::format("  {}: {}\n", short_name(unit.id), what);
    }
    std::string text =
        fmt::format("\nBodies ({})\n", inspection.model.bodies.size()) + table.text();
    if (!repairs.empty()) text += "\nRepaired\n" + repairs;
    return text;
}

std::string units_of(const Envelope& envelope) {
    TextTable table({{"unit"},
                     {"floor area m2", Align::right},
                     {"volume m3", Align::right},
                     {"surfaces", Align::right},
                     {"how"}});
    for (const Unit& unit : envelope.units)
        table.add_row({short_name(unit.id), number(unit.floor_area_m2), number(unit.volume_m3),
                       std::to_string(unit.surfaces.size()), unit.how});
    return fmt::format("\nUnits ({})\n", envelope.units.size()) + table.text();
}

std::string surfaces_of(const Envelope& envelope) {
    TextTable table({{"surface"},
                     {"kind"},
                     {"faces", Align::right},
                     {"area m2", Align::right},
                     {"in the open m2", Align::right},
                     {"folds", Align::right},
                     {"azimuth deg", Align::right},
                     {"tilt deg", Align::right}});
    for (const Surface& surface : envelope.surfaces)
        table.add_row({short_name(surface.id), std::string(to_string(surface.kind)),
                       std::to_string(surface.n_faces), number(surface.area_m2),
                       number(surface.exposed_area_m2), number(surface.relief_ratio(), 3),
                       number(surface.azimuth_deg, 0), number(surface.tilt_deg, 0)});
    return fmt::format("\nSurfaces ({})\n", envelope.surfaces.size()) + table.text();
}

std::string contacts_of(const Envelope& envelope) {
    if (envelope.contacts.empty()) return "\nContacts: none\n";
    TextTable table(
        {{"surface"}, {"touches"}, {"area m2", Align::right}, {"gap mm", Align::right}});
    for (const Contact& contact : envelope.contacts)
        table.add_row({short_name(envelope.surfaces[contact.a.index()].id),
                       contact.on_ground() ? "the ground"
                                           : short_name(envelope.surfaces[contact.b.index()].id),
                       number(contact.area_m2), number(1000 * contact.gap_m, 0)});
    return fmt::format("\nContacts ({})\n", envelope.contacts.size()) + table.text();
}

std::string left_out_of(const Model& model) {
    if (model.left_out.empty()) return "\nLeft out: nothing\n";
    TextTable table({{"entity"}, {"body or part"}, {"area m2", Align::right}, {"reason"}});
    std::size_t n = 0;
    for (const LeftOut& left : model.left_out) {
        const bool both = !left.body.empty() && !left.name.empty();
        table.add_row({left.entity, short_name(left.body + (both ? ": " : "") + left.name),
                       left.area_known ? number(left.area_m2) : "-", left.reason});
        n += left.count;
    }
    return fmt::format("\nLeft out ({})\n", n) + table.text();
}

}  // namespace

std::string inspection_page(const Inspection& inspection) {
    std::string text = head_of(inspection) + against_page(inspection) + bodies_of(inspection);
    if (!inspection.no_unit) {
        text += units_of(inspection.envelope) + surfaces_of(inspection.envelope) +
                contacts_of(inspection.envelope);
    }
    return text + left_out_of(inspection.model) + warnings_page(inspection.warnings);
}

}  // namespace noonshell
