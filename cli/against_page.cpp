#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cli/against.hpp"
#include "cli/table.hpp"
#include "cli/utf8.hpp"

namespace noonshell {

namespace {

/// Longer tables are cut; --json lists all.
constexpr std::size_t most_rows = 40;

std::string state_of(const Change& change) {
    if (change.is_new()) return "new";
    if (change.is_gone()) return "gone";
    std::string states;
    const auto add = [&states](bool holds, const char* word) {
        if (holds) states += (states.empty() ? "" : ", ") + std::string(word);
    };
    add(change.moved, "moved");
    add(change.resized, "resized");
    add(change.renamed, "renamed");
    return states.empty() ? "kept" : states;
}

/// A figure without the sign of a zero.
double plain(double value) {
    return std::abs(value) < 5e-4 ? 0.0 : value;
}

std::string move_text(const Change& change) {
    if (!change.moved) return "-";
    std::string text;
    if (change.moved_m.norm() >= same_place_m) {
        text = fmt::format("{:.3f} ({:.3f}, {:.3f}, {:.3f})", change.moved_m.norm(),
                           plain(change.moved_m.x()), plain(change.moved_m.y()),
                           plain(change.moved_m.z()));
    }
    if (std::abs(change.turned_deg) >= same_turn_deg)
        text += fmt::format("{}turned {:.1f} deg", text.empty() ? "" : ", ", change.turned_deg);
    return text;
}

std::string sizes_text(const Vec3& sizes_m) {
    return fmt::format("{:.3f} x {:.3f} x {:.3f}", sizes_m.x(), sizes_m.y(), sizes_m.z());
}

std::string size_text(const Change& change) {
    if (change.is_new()) return sizes_text(change.new_sizes_m);
    if (change.is_gone() || !change.resized) return sizes_text(change.old_sizes_m);
    if ((change.new_sizes_m - change.old_sizes_m).cwiseAbs().maxCoeff() < same_size_m)
        return sizes_text(change.new_sizes_m);
    return sizes_text(change.old_sizes_m) + " -> " + sizes_text(change.new_sizes_m);
}

std::string area_text(const Change& change) {
    if (change.is_new()) return fmt::format("{:.2f}", change.new_area_m2);
    if (change.is_gone() || !change.resized) return fmt::format("{:.2f}", change.old_area_m2);
    return fmt::format("{:.2f} -> {:.2f}", change.old_area_m2, change.new_area_m2);
}

std::string count_text(const std::vector<Change>& changes) {
    const ChangeCounts counts = count(changes);
    return fmt::format("{} kept, {} moved, {} resized, {} renamed, {} new, {} gone", counts.kept,
                       counts.moved, counts.resized, counts.renamed, counts.fresh, counts.gone);
}

/// The changes that `tell` picks, as a table with or without sizes.
template <class Tell>
std::string table_of(const std::string& what, const std::vector<Change>& changes, bool with_sizes,
                     const Tell& tell) {
    std::vector<TextTable::Column> columns{{what}, {"change"}, {"before"}, {"moved m (x, y, z)"}};
    if (with_sizes) columns.push_back({"size m"});
    columns.push_back({"area m2"});
    TextTable table(std::move(columns));
    std::size_t told = 0;
    for (const Change& change : changes) {
        if (change.kept() || !tell(change) || ++told > most_rows) continue;
        std::vector<std::string> cells{change.is_gone() ? change.old_id : change.new_id,
                                       state_of(change), change.renamed ? change.old_id : "-",
                                       move_text(change)};
        if (with_sizes) cells.push_back(size_text(change));
        cells.push_back(area_text(change));
        table.add_row(std::move(cells));
    }
    if (told == 0) return "";
    std::string text = table.text();
    if (told > most_rows)
        text += fmt::format("  and {} more; --json lists all\n", told - most_rows);
    return text;
}

/// What a part does only because the unit or shade that it belongs to does it: it went the same way
/// and, where that turned about its middle, round with it.
bool goes_along(const Change& part, const Change& owner) {
    if (!part.matched() || !owner.matched()) {
        return part.is_new() == owner.is_new() && part.is_gone() == owner.is_gone();
    }
    if (part.resized || part.renamed) return false;
    const CommonMove turn{1, false, owner.turned_deg, Vec3::Zero()};
    const Vec3 owner_before = owner.centre_m - owner.moved_m;
    const Vec3 part_before = part.centre_m - part.moved_m;
    const Vec3 expected = owner.centre_m + turn.direction(part_before - owner_before);
    // A square part looks the same after a quarter of a turn.
    const double turned_deg = std::abs(std::remainder(part.turned_deg - owner.turned_deg, 90));
    const bool round = part.turned_deg == 0;
    return (part.centre_m - expected).norm() < same_place_m &&
           (round || turned_deg < same_turn_deg);
}

/// Part of an id after that of its owner.
std::string side_of(const std::string& id) {
    return id.substr(id.find_last_of('/') + 1);
}

/// Surfaces whose change is not told by that of their unit or shade.
bool tells_surface(const Change& surface, const std::vector<Change>& owners) {
    if (surface.owner == Change::none) return true;
    const Change& owner = owners[surface.owner];
    if (surface.is_new()) return !owner.is_new();
    if (surface.is_gone()) return !owner.is_gone();
    const bool own_name = side_of(surface.old_id) != side_of(surface.new_id);
    return own_name || surface.resized || (!owner.moved && !owner.resized && surface.moved);
}

/// How many bodies of the new model, or of the old one for what is gone, each owner has.
std::vector<std::size_t> bodies_per_owner(const ModelMatches& matches) {
    std::vector<std::size_t> n(matches.owners.size(), 0);
    for (const Change& body : matches.bodies.bodies) {
        if (body.owner != Change::none && body.is_gone() == matches.owners[body.owner].is_gone())
            ++n[body.owner];
    }
    return n;
}

}  // namespace

std::string against_page(const Inspection& inspection) {
    if (!inspection.against) return "";
    const ModelMatches& matches = inspection.against->matches;
    std::string text = "\nAgainst " + printable(inspection.against->file) + "\n";
    const std::string whole = describe(matches.bodies.move);
    if (!whole.empty()) text += "  " + whole + "; moves below are besides that\n";
    text += "  bodies: " + count_text(matches.bodies.bodies) + "\n";
    text += "  units and shades: " + count_text(matches.owners) + "\n";
    text += "  surfaces: " + count_text(matches.surfaces) + "\n";
    const std::string owners =
        table_of("unit or shade", matches.owners, true, [](const Change&) { return true; });
    const std::vector<std::size_t> n_bodies = bodies_per_owner(matches);
    const std::string bodies =
        table_of("other body", matches.bodies.bodies, true, [&](const Change& c) {
            if (c.owner == Change::none) return true;
            const bool alone = n_bodies[c.owner] == 1 && !c.is_gone();
            return !alone && !goes_along(c, matches.owners[c.owner]);
        });
    const std::string surfaces = table_of("surface", matches.surfaces, false, [&](const Change& c) {
        return tells_surface(c, matches.owners);
    });
    for (const std::string& table : {owners, bodies, surfaces}) {
        if (!table.empty()) text += "\n" + table;
    }
    return text;
}

}  // namespace noonshell
