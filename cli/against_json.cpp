#include "cli/against.hpp"

namespace noonshell {

namespace {

Json json_change(const Change& change, bool with_sizes) {
    Json states = Json::array();
    if (change.is_new()) states.push_back("new");
    if (change.is_gone()) states.push_back("gone");
    if (change.kept()) states.push_back("kept");
    if (change.moved) states.push_back("moved");
    if (change.resized) states.push_back("resized");
    if (change.renamed) states.push_back("renamed");
    Json entry{{"id", change.is_gone() ? Json() : json_text(change.new_id)},
               {"old_id", change.is_new() ? Json() : json_text(change.old_id)},
               {"states", std::move(states)}};
    if (change.matched()) {
        entry["moved_m"] = json_vector(change.moved_m);
        entry["turned_deg"] = change.turned_deg;
    }
    if (!change.is_new()) {
        entry["old_area_m2"] = change.old_area_m2;
        if (with_sizes) entry["old_sizes_m"] = json_vector(change.old_sizes_m);
    }
    if (!change.is_gone()) {
        entry["area_m2"] = change.new_area_m2;
        if (with_sizes) entry["sizes_m"] = json_vector(change.new_sizes_m);
    }
    return entry;
}

Json json_changes(const std::vector<Change>& changes, bool with_sizes) {
    const ChangeCounts counts = count(changes);
    Json list = Json::array();
    for (const Change& change : changes) list.push_back(json_change(change, with_sizes));
    return {{"counts",
             {{"kept", counts.kept},
              {"moved", counts.moved},
              {"resized", counts.resized},
              {"renamed", counts.renamed},
              {"new", counts.fresh},
              {"gone", counts.gone}}},
            {"changes", std::move(list)}};
}

}  // namespace

Json json_against(const Comparison& comparison) {
    const CommonMove& move = comparison.matches.bodies.move;
    return {{"file", json_text(comparison.file)},
            {"whole_model",
             {{"text", json_text(describe(move))},
              {"scale", move.scale},
              {"mirrored", move.mirrored},
              {"turned_deg", move.turn_deg},
              {"moved_m", json_vector(move.shift_m)}}},
            {"bodies", json_changes(comparison.matches.bodies.bodies, true)},
            {"owners", json_changes(comparison.matches.owners, true)},
            {"surfaces", json_changes(comparison.matches.surfaces, false)}};
}

}  // namespace noonshell
