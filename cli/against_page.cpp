#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "cli/against.hpp"
#include "cli/page_parts.hpp"
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

/// Changes as a table with or without sizes; empty for none.
std::string table_of(const std::string& what, const std::vector<const Change*>& changes,
                     bool with_sizes) {
    if (changes.empty()) return "";
    std::vector<TextTable::Column> columns{{what}, {"change"}, {"before"}, {"moved m (x, y, z)"}};
    if (with_sizes) columns.push_back({"size m"});
    columns.push_back({"area m2"});
    TextTable table(std::move(columns));
    const std::size_t shown = std::min(changes.size(), most_rows);
    for (std::size_t k = 0; k < shown; ++k) {
        const Change& change = *changes[k];
        std::vector<std::string> cells{
            short_name(change.is_gone() ? change.old_id : change.new_id), state_of(change),
            change.renamed ? short_name(change.old_id) : "-", move_text(change)};
        if (with_sizes) cells.push_back(size_text(change));
        cells.push_back(area_text(change));
        table.add_row(std::move(cells));
    }
    std::string text = table.text();
    if (changes.size() > shown) {
        text += fmt::format("  and {} more; --json lists all\n", changes.size() - shown);
    }
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

/// Whether the change of a surface is told by that of its unit or shade.
bool is_told_by_owner(const Change& surface, const Change& owner) {
    if (surface.is_new()) return owner.is_new();
    if (surface.is_gone()) return owner.is_gone();
    if (side_of(surface.old_id) != side_of(surface.new_id) || surface.resized) return false;
    return owner.moved || owner.resized || !surface.moved;
}

/// Names that need no row of their own, in one line for each unit or shade.
class FoldedNames {
  public:
    void add(std::size_t owner, std::string name) { names_[owner].push_back(std::move(name)); }

    /// "  kept of bunk-2 (6): roof, wall-n, wall-e"
    std::string lines(const std::string& what, const std::vector<Change>& owners) const {
        std::string text;
        std::size_t told = 0;
        for (const auto& [owner, names] : names_) {
            if (++told > most_rows) continue;
            text += "  " + what;
            if (owner < owners.size()) {
                const Change& of = owners[owner];
                text += " of " + short_name(of.is_gone() ? of.old_id : of.new_id);
            }
            text += fmt::format(" ({}): {}\n", names.size(), joined(names));
        }
        if (told > most_rows) {
            text += fmt::format("  and {} more such lines; --json lists all\n", told - most_rows);
        }
        return text;
    }

  private:
    static std::string joined(const std::vector<std::string>& names) {
        constexpr std::size_t most_columns = 90;
        std::string text;
        for (std::size_t k = 0; k < names.size(); ++k) {
            const std::string next = (k > 0 ? ", " : "") + short_name(names[k]);
            if (k > 0 && display_width(text) + display_width(next) > most_columns)
                return text + fmt::format(" and {} more", names.size() - k);
            text += next;
        }
        return text;
    }

    std::map<std::size_t, std::vector<std::string>> names_;  ///< by owner
};

/// Rows and folded names of one list of changes.
struct Told {
    std::vector<const Change*> rows;
    FoldedNames kept, along;

    std::string text(const std::string& what, bool with_sizes,
                     const std::vector<Change>& owners) const {
        const std::string all = table_of(what, rows, with_sizes) +
                                along.lines("along with all", owners) + kept.lines("kept", owners);
        return all.empty() ? "" : "\n" + all;
    }
};

Told tell_owners(const std::vector<Change>& owners) {
    Told told;
    for (const Change& owner : owners) {
        if (owner.kept()) {
            told.kept.add(Change::none, owner.new_id);
        } else {
            told.rows.push_back(&owner);
        }
    }
    return told;
}

/// Bodies but for those that are a unit or a shade by themselves, which are told as such.
Told tell_bodies(const ModelMatches& matches) {
    std::map<std::uint32_t, std::size_t> n_of_owner;  // as in the version that the owner is of
    for (const Change& body : matches.bodies.bodies) {
        if (body.owner != Change::none && body.is_gone() == matches.owners[body.owner].is_gone())
            ++n_of_owner[body.owner];
    }
    Told told;
    for (const Change& body : matches.bodies.bodies) {
        const bool owned = body.owner != Change::none;
        if (owned && n_of_owner[body.owner] == 1 &&
            body.is_gone() == matches.owners[body.owner].is_gone()) {
            continue;
        }
        const std::string& id = body.is_gone() ? body.old_id : body.new_id;
        if (body.kept()) {
            told.kept.add(body.owner, id);
        } else if (owned && goes_along(body, matches.owners[body.owner])) {
            told.along.add(body.owner, id);
        } else {
            told.rows.push_back(&body);
        }
    }
    return told;
}

/// Surfaces; where they are too many, those whose unit or shade tells the same are folded.
Told tell_surfaces(const ModelMatches& matches) {
    const auto n_rows = std::ranges::count_if(
        matches.surfaces, [](const Change& surface) { return !surface.kept(); });
    const bool fold = n_rows > static_cast<std::ptrdiff_t>(most_rows);
    Told told;
    for (const Change& surface : matches.surfaces) {
        const bool owned = surface.owner != Change::none;
        const std::string side = side_of(surface.is_gone() ? surface.old_id : surface.new_id);
        if (surface.kept()) {
            told.kept.add(surface.owner, side);
        } else if (fold && owned && is_told_by_owner(surface, matches.owners[surface.owner])) {
            told.along.add(surface.owner, side);
        } else {
            told.rows.push_back(&surface);
        }
    }
    return told;
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
    return text + tell_owners(matches.owners).text("unit or shade", true, matches.owners) +
           tell_bodies(matches).text("other body", true, matches.owners) +
           tell_surfaces(matches).text("surface", false, matches.owners);
}

}  // namespace noonshell
