#include "cli/inspection.hpp"

#include <algorithm>
#include <map>
#include <string>
#include <string_view>
#include <utility>

#include "cli/against.hpp"
#include "cli/interrupt.hpp"
#include "geometry/colours.hpp"
#include "geometry/known_names.hpp"
#include "geometry/plain_text.hpp"
#include "geometry/renamed_faces.hpp"
#include "geometry/shade_builder.hpp"
#include "geometry/step_reader.hpp"

namespace noonshell {

namespace {

void append(std::vector<Warning>& all, const std::vector<Warning>& more) {
    all.insert(all.end(), more.begin(), more.end());
}

bool is_idle_pattern(const Warning& warning) {
    return warning.code == "pattern-matches-nothing";
}

/// What makes the rest of a report doubtful comes before it.
void put_urgent_first(std::vector<Warning>& warnings) {
    const auto urgency = [](const Warning& warning) {
        if (warning.code == "lost-area") return 0;
        return is_idle_pattern(warning) || warning.code == "colour-matches-nothing" ? 1 : 2;
    };
    std::ranges::stable_sort(warnings, {}, urgency);
}

/// Patterns that name something in the earlier version, and bodies whose roles come from there, are
/// in order.
void forget_what_follows(const Inspection& former, Inspection& inspection) {
    const auto idle_before = [&](const Warning& warning) {
        return std::ranges::any_of(former.warnings, [&](const Warning& before) {
            return is_idle_pattern(before) && before.text.substr(0, before.text.find(';')) ==
                                                  warning.text.substr(0, warning.text.find(';'));
        });
    };
    const auto named_before = [&](std::string_view id) {
        for (std::size_t b = 0; b < inspection.roles.size(); ++b) {
            if (inspection.model.bodies[b].id == id) return !inspection.roles[b].guessed;
        }
        return false;
    };
    std::erase_if(inspection.warnings, [&](const Warning& warning) {
        if (is_idle_pattern(warning)) return !idle_before(warning);
        return warning.code == "unit-guessed" && named_before(warning.where);
    });
}

/// The ids of the items that a pattern matches; the pattern itself where it matches none.
template <class Item, class Matches>
void add_ids(std::vector<std::string>& ids, const std::vector<Item>& items,
             const std::string& pattern, const Matches& matches) {
    const std::size_t before = ids.size();
    for (std::size_t k = 0; k < items.size(); ++k) {
        if (matches(pattern, k)) ids.push_back(items[k].id);
    }
    if (ids.size() == before) ids.push_back(pattern);
}

/// Settings written for the units and walls of the earlier version, by what they are called now. A
/// pattern that names nothing is left as it is.
ModelSettings followed(ModelSettings settings, const FormerNames& names, const Envelope& now) {
    const auto ids_of = [](const auto& items, const std::vector<std::string>& patterns,
                           const auto& matches) {
        std::vector<std::string> ids;
        for (const std::string& pattern : patterns) add_ids(ids, items, pattern, matches);
        return ids;
    };
    const auto unit_matches = [&](const std::string& pattern, std::size_t u) {
        return names.unit_matches(pattern, UnitId(u));
    };
    const auto wall_matches = [&](const std::string& pattern, std::size_t s) {
        return names.surface_matches(pattern, SurfaceId(s));
    };
    for (ShadeRoof& roof : settings.shades.roofs)
        roof.over = ids_of(now.units, roof.over, unit_matches);
    for (Overhang& overhang : settings.shades.overhangs)
        overhang.walls = ids_of(now.surfaces, overhang.walls, wall_matches);
    for (Fin& fin : settings.shades.fins) fin.walls = ids_of(now.surfaces, fin.walls, wall_matches);
    std::vector<UnitFigure> figures;
    for (const UnitFigure& figure : settings.envelope.unit_figures) {
        for (const std::string& id : ids_of(now.units, {figure.unit}, unit_matches)) {
            figures.push_back(figure);
            figures.back().unit = id;
        }
    }
    settings.envelope.unit_figures = std::move(figures);
    return settings;
}

/// Without the patterns, and the shades, that name nothing of a model.
ShadeSettings shades_that_fit(ShadeSettings shades, const Envelope& envelope) {
    const auto keep = [](std::vector<std::string>& patterns, const auto& items) {
        std::erase_if(patterns, [&](const std::string& pattern) {
            return std::ranges::none_of(
                items, [&](const auto& item) { return matches_pattern(pattern, item.id); });
        });
        return !patterns.empty();
    };
    std::erase_if(shades.roofs, [&](ShadeRoof& s) { return !keep(s.over, envelope.units); });
    std::erase_if(shades.overhangs, [&](Overhang& s) { return !keep(s.walls, envelope.surfaces); });
    std::erase_if(shades.fins, [&](Fin& s) { return !keep(s.walls, envelope.surfaces); });
    return shades;
}

/// Roles, by the names that the earlier version gave too, if there is one. The settings learn them.
void choose_roles_of(Inspection& inspection, ModelSettings& settings, const Inspection* former) {
    if (former == nullptr) {
        inspection.roles =
            choose_roles(inspection.model, settings.patterns, {}, inspection.warnings);
        return;
    }
    compare_bodies(*former, inspection);
    const BodyMatches& matches = inspection.against->matches.bodies;
    const KnownNames names = known_names(matches, former->model, inspection.model);
    inspection.roles =
        choose_roles(inspection.model, settings.patterns, {}, names, inspection.warnings);
    carry_roles(matches, former->roles, inspection.roles);
    forget_what_follows(*former, inspection);
    std::vector<NameList>& known = settings.envelope.apart.body_names;
    known = names.bodies;
    for (std::size_t b = 0; b < known.size(); ++b) {
        known[b].insert(known[b].end(), names.former_bodies[b].begin(),
                        names.former_bodies[b].end());
    }
    const ApartFaces& apart = settings.envelope.apart;
    if (!apart.surfaces.empty() || !apart.panes.empty()) {
        settings.envelope.apart.face_names =
            known_face_names(matches, former->model, inspection.model);
    }
}

enum class Version { now, former };

/// The envelope, with the shades that the settings add.
void cut_into_surfaces(Inspection& inspection, ModelSettings settings, const Inspection* former,
                       Version version) {
    const auto cut = [&] {
        inspection.cut = settings.envelope;
        inspection.envelope = build_envelope(inspection.model, inspection.roles, settings.envelope);
    };
    cut();
    if (version == Version::former)
        settings.shades = shades_that_fit(std::move(settings.shades), inspection.envelope);
    const bool names_units = !settings.shades.empty() || !settings.envelope.unit_figures.empty();
    if (former != nullptr && !former->no_unit && names_units) {
        compare_surfaces(*former, inspection);
        settings = followed(std::move(settings),
                            former_names(inspection.against->matches, inspection.envelope),
                            inspection.envelope);
        if (!settings.envelope.unit_figures.empty()) cut();
    }
    if (settings.shades.empty()) return;
    BuiltShades built =
        add_shades(inspection.model, inspection.roles, inspection.envelope, settings.shades);
    inspection.added = std::move(built.bodies);
    append(inspection.warnings, built.warnings);
    cut();
}

std::string counted_role(std::size_t n, Role role) {
    if (role == Role::ignore) return std::to_string(n) + " ignored";
    if (role == Role::context) return counted(n, "body of context", "bodies of context");
    return counted(n, to_string(role));
}

/// With the bodies' roles, and what to write to name the rooms.
std::string why_no_unit(const Inspection& inspection, const std::string& found) {
    std::map<Role, std::size_t> n_of_role;
    for (const RoleChoice& choice : inspection.roles) ++n_of_role[choice.role];
    std::string roles;
    for (const auto& [role, n] : n_of_role) {
        roles += (roles.empty() ? "" : ", ") + counted_role(n, role);
    }
    return inspection.model.file + ": expected at least one unit (a room), saw " +
           (roles.empty() ? "no body" : roles) + "; " + found +
           ": name the rooms in a site file, units = [\"...\"] under [model], by the names of the "
           "bodies or patterns such as \"room-*\"";
}

Inspection inspect_version(const std::filesystem::path& file, const ModelSettings& settings,
                           const Inspection* former, Version version) {
    const NothingAtStake at_once;
    Inspection inspection;
    StepReadOptions reading;
    reading.up = settings.up;
    reading.lost_area_limit = settings.lost_area_limit;
    inspection.model = read_step(file, reading);
    append(inspection.warnings, inspection.model.warnings);
    warn_of_idle_colours(inspection.model, settings.patterns.pane_colours,
                         settings.envelope.apart.surfaces, inspection.warnings);
    ModelSettings own = settings;
    choose_roles_of(inspection, own, former);
    inspection.envelope.north_deg = settings.envelope.north_deg;
    try {
        cut_into_surfaces(inspection, std::move(own), former, version);
    } catch (const NoUnitError& error) {
        inspection.no_unit = why_no_unit(inspection, error.what());
    }
    append(inspection.warnings, inspection.envelope.warnings);
    put_urgent_first(inspection.warnings);
    if (former != nullptr) compare_surfaces(*former, inspection);
    return inspection;
}

}  // namespace

Inspection inspect_model(const std::filesystem::path& file, const ModelSettings& settings,
                         const Inspection* former) {
    return inspect_version(file, settings, former, Version::now);
}

Inspection inspect_former_model(const std::filesystem::path& file, const ModelSettings& settings) {
    return inspect_version(file, settings, nullptr, Version::former);
}

Inspection require_units(Inspection inspection) {
    if (inspection.no_unit) throw NoUnitError(*inspection.no_unit);
    return inspection;
}

}  // namespace noonshell
