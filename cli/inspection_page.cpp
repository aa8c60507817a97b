#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "cli/against.hpp"
#include "cli/inspection.hpp"
#include "cli/page_parts.hpp"
#include "cli/table.hpp"
#include "cli/utf8.hpp"
#include "geometry/colours.hpp"

namespace noonshell {

namespace {

/// So many decimals; three digits where these would show nothing, or more than anyone reads.
std::string number(double value, int decimals = 2) {
    constexpr double largest_with_decimals = 1e5, largest_written_out = 1e15;
    if (std::abs(value) >= largest_with_decimals) decimals = 0;
    const std::string text = fmt::format("{:.{}f}", value, decimals);
    const bool nothing = value != 0 && text.find_first_of("123456789") == std::string::npos;
    return nothing || std::abs(value) >= largest_written_out ? fmt::format("{:.3g}", value) : text;
}

/// What is left of a place, a gap or an angle where rounding alone makes it differ from 0.
double without_rounding(double value) {
    constexpr double rounding = 1e-9;
    return std::abs(value) < rounding ? 0 : value;
}

/// Two decimals for what is as large as a building.
std::string length(double exact_m) {
    constexpr double least_plain_m = 0.1;
    const double value_m = without_rounding(exact_m);
    return std::abs(value_m) < least_plain_m && value_m != 0 ? fmt::format("{:.3g}", value_m)
                                                             : number(value_m);
}

std::string up_text(const Inspection& inspection) {
    return printable(inspection.model.up) +
           (inspection.up_given ? "" : " (assumed; [model] up sets it)");
}

std::string head_of(const Inspection& inspection) {
    const Model& model = inspection.model;
    const auto& box = model.bbox_m;
    std::string text = printable(model.file) + "\n";
    text += fmt::format("  STEP {}; length unit {}; up is {}\n", printable(model.schema),
                        printable(model.length_unit), up_text(inspection));
    text += fmt::format("  size {} x {} x {} m; x {} to {}, y {} to {}, z {} to {} m\n",
                        length(box[3] - box[0]), length(box[4] - box[1]), length(box[5] - box[2]),
                        length(box[0]), length(box[3]), length(box[1]), length(box[4]),
                        length(box[2]), length(box[5]));
    text += fmt::format("  the model's +Y axis points to compass azimuth {:g} degrees{}\n",
                        inspection.envelope.north_deg,
                        inspection.north_given ? "" : " (assumed: no site file given)");
    if (inspection.no_unit) return text;
    text += fmt::format("  the ground is taken to lie at z {} m{}\n",
                        length(inspection.envelope.ground_z_m),
                        std::isnan(inspection.cut.ground_z_m)
                            ? " (assumed: the lowest point of units and shades; [model] ground_z_m "
                              "sets it)"
                            : "");
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

/// Tells bodies of one name apart by what holds them, where that differs.
class Holders {
  public:
    explicit Holders(const Model& model) {
        for (const Body& body : model.bodies) holders_[body.name].insert(holder_of(body));
    }
    /// "walls-2 (in cabin-B)"
    std::string with_holder(const Body& body) const {
        const std::string holder = holder_of(body);
        if (holder.empty() || holders_.at(body.name).size() < 2) return body.id;
        return body.id + " (in " + holder + ")";
    }

  private:
    /// Last name but one of the path.
    static std::string holder_of(const Body& body) {
        const std::size_t own = body.name.size() + 1;
        if (body.path.size() <= own || !body.path.ends_with("/" + body.name)) return {};
        const std::string above = body.path.substr(0, body.path.size() - own);
        return above.substr(above.rfind('/') + 1);
    }
    std::map<std::string, std::set<std::string>> holders_;  // by name
};

/// With `each`, a row for every body.
std::vector<BodyRow> body_rows(const Inspection& inspection, bool each) {
    std::vector<BodyRow> rows;
    std::map<std::string, std::size_t> row_of_group;
    const Holders holders(inspection.model);
    constexpr int most_fittings_listed = 5;
    const bool many_fittings =
        std::count_if(inspection.roles.begin(), inspection.roles.end(), [](const RoleChoice& c) {
            return c.guessed && c.role == Role::ignore;
        }) > most_fittings_listed;
    for (std::size_t b = 0; b < inspection.model.bodies.size(); ++b) {
        const Body& body = inspection.model.bodies[b];
        const RoleChoice& choice = inspection.roles[b];
        const bool fitting = choice.guessed && choice.role == Role::ignore;
        std::string group = fitting && many_fittings ? "small fittings" : choice.unit;
        if (each) group.clear();
        std::size_t row = rows.size();
        if (!group.empty()) row = row_of_group.try_emplace(group, row).first->second;
        if (row == rows.size()) {
            const bool own_name = group.empty() || group == body.id;
            rows.push_back({own_name ? holders.with_holder(body) : group, &choice});
        }
        rows[row].add(body);
    }
    return rows;
}

constexpr std::size_t most_colours_listed = 20, most_rows_listed = 200;

std::string and_more(std::size_t left) {
    return left == 0 ? "" : fmt::format("  and {} more: --verbose prints them\n", left);
}

/// Reasons quote patterns and names.
constexpr std::size_t most_reason_columns = 200;

std::string body_list(const Inspection& inspection, bool each) {
    TextTable table({{"body"},
                     {"role"},
                     {"faces", Align::right},
                     {"area m2", Align::right},
                     {"volume m3", Align::right},
                     {"closed"},
                     {"why this role"}});
    bool any_together = false;
    for (const BodyRow& row : body_rows(inspection, each)) {
        any_together = any_together || row.bodies > 1;
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
    if (any_together) text += "  --verbose prints each body of a group\n";
    if (!repairs.empty()) text += "\nRepaired\n" + repairs;
    return text;
}

/// The colours that faces have, by the text that a site file takes.
std::string colours_of(const Inspection& inspection, bool all) {
    struct Count {
        std::size_t bodies = 0, faces = 0;
    };
    std::map<std::string, Count> counts;
    for (const Body& body : inspection.model.bodies) {
        for (const ColourCount& of : face_colours(inspection.model, body)) {
            ++counts[of.hex].bodies;
            counts[of.hex].faces += of.n_faces;
        }
    }
    if (counts.empty()) return {};
    TextTable table({{"colour"}, {"bodies", Align::right}, {"faces", Align::right}});
    std::size_t left = all ? counts.size() : std::min(counts.size(), most_colours_listed);
    const std::size_t more = counts.size() - left;
    for (const auto& [hex, count] : counts) {
        if (left-- == 0) break;
        table.add_row({hex, std::to_string(count.bodies), std::to_string(count.faces)});
    }
    return fmt::format("\nColours ({})\n", counts.size()) + table.text() + and_more(more);
}

/// Equal units in one row, "first ... last (200 units)", where there are so many; else each.
std::string unit_list(const Envelope& envelope, bool each) {
    constexpr std::size_t most_equal_listed = 20;
    using Cells = std::vector<std::string>;
    std::map<Cells, std::vector<std::size_t>> equal;  // by all cells but the name
    std::vector<Cells> cells;
    for (std::size_t u = 0; u < envelope.units.size(); ++u) {
        const Unit& unit = envelope.units[u];
        cells.push_back({number(unit.floor_area_m2), number(unit.volume_m3),
                         std::to_string(unit.surfaces.size()), unit.how});
        equal[cells.back()].push_back(u);
    }
    bool any_together = false;
    TextTable table({{"unit"},
                     {"floor area m2", Align::right},
                     {"volume m3", Align::right},
                     {"surfaces", Align::right},
                     {"how"}});
    for (std::size_t u = 0; u < envelope.units.size(); ++u) {
        const std::vector<std::size_t>& alike = equal[cells[u]];
        const bool together = !each && alike.size() > most_equal_listed;
        if (together && alike.front() != u) continue;
        any_together = any_together || together;
        std::string name = short_name(envelope.units[u].id);
        if (together) {
            name += fmt::format(" ... {} ({} equal units)",
                                short_name(envelope.units[alike.back()].id), alike.size());
        }
        Cells row{std::move(name)};
        row.insert(row.end(), cells[u].begin(), cells[u].end());
        table.add_row(std::move(row));
    }
    return fmt::format("\nUnits ({})\n", envelope.units.size()) + table.text() +
           (any_together ? "  --verbose prints each unit\n" : "");
}

std::string surface_list(const Envelope& envelope, bool all) {
    TextTable table({{"surface"},
                     {"kind"},
                     {"faces", Align::right},
                     {"area m2", Align::right},
                     {"in the open m2", Align::right},
                     {"folds", Align::right},
                     {"azimuth deg", Align::right},
                     {"tilt deg", Align::right}});
    std::size_t left = 0;
    for (const Surface& surface : envelope.surfaces) {
        if (!all && table.n_rows() == most_rows_listed) {
            ++left;
            continue;
        }
        table.add_row({short_name(surface.id), std::string(to_string(surface.kind)),
                       std::to_string(surface.n_faces), number(surface.area_m2),
                       number(surface.exposed_area_m2), number(surface.relief_ratio(), 3),
                       number(surface.azimuth_deg, 0),
                       number(without_rounding(surface.tilt_deg), 0)});
    }
    return fmt::format("\nSurfaces ({})\n", envelope.surfaces.size()) + table.text() +
           and_more(left);
}

std::string contacts_of(const Envelope& envelope, bool all) {
    if (envelope.contacts.empty()) return "\nContacts: none\n";
    TextTable table(
        {{"surface"}, {"touches"}, {"area m2", Align::right}, {"gap mm", Align::right}});
    std::size_t left = 0;
    for (const Contact& contact : envelope.contacts) {
        if (!all && table.n_rows() == most_rows_listed) {
            ++left;
            continue;
        }
        table.add_row({short_name(envelope.surfaces[contact.a.index()].id),
                       contact.on_ground() ? "the ground"
                                           : short_name(envelope.surfaces[contact.b.index()].id),
                       number(contact.area_m2), number(1000 * without_rounding(contact.gap_m), 0)});
    }
    return fmt::format("\nContacts ({})\n", envelope.contacts.size()) + table.text() +
           and_more(left);
}

std::string left_out_table(const Model& model) {
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

std::string inspection_page(const Inspection& inspection, bool more) {
    std::string text = head_of(inspection) + losses_of(inspection.warnings) +
                       against_page(inspection) + body_list(inspection, more) +
                       colours_of(inspection, more);
    if (!inspection.no_unit) {
        text += unit_list(inspection.envelope, more) + surface_list(inspection.envelope, more) +
                contacts_of(inspection.envelope, more);
    }
    return text + left_out_table(inspection.model) + warnings_page(inspection.warnings, more);
}

}  // namespace noonshell
