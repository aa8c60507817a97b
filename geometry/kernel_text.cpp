#include "geometry/kernel_text.hpp"

#include <algorithm>
#include <charconv>
#include <string_view>
#include <utility>

#include "geometry/child_process.hpp"
#include "geometry/occt_document.hpp"
#include "geometry/step_amends.hpp"
#include "geometry/step_bytes.hpp"
#include "geometry/step_contexts.hpp"
#include "geometry/step_directions.hpp"
#include "geometry/step_escapes.hpp"
#include "geometry/step_exponents.hpp"
#include "geometry/step_leave_out.hpp"

namespace noonshell {

namespace {

/// The file's text where the kernel must not see it as it is.
std::optional<std::string> readable_text(const std::filesystem::path& file,
                                         const StepHeader& header) {
    if (header.sound_escapes && header.lists_units && !header.may_hold_tessellation &&
        header.n_unknown_characters == 0 && header.capital_exponents) {
        return std::nullopt;
    }
    std::string text = read_step_text(file);
    if (header.n_unknown_characters > 0) text = with_visible_bytes(text);
    if (!header.sound_escapes) text = with_sound_escapes(text).value_or(std::move(text));
    if (!header.capital_exponents) text = with_capital_exponents(text).value_or(std::move(text));
    if (!header.lists_units) text = with_listed_units(text).value_or(std::move(text));
    if (header.may_hold_tessellation) text = without_tessellation(text);
    return text;
}

/// Faces that go by an axis which points nowhere are to be left out; placements of parts get the
/// axes that the standard gives them where none are told.
void settle_odd_axes(KernelText& text) {
    const StepOwners owners(*text.whole);
    std::vector<OddDirection> to_default;
    for (const OddDirection& odd : odd_directions(*text.whole)) {
        Entities faces = owners.to_leave_out(odd.placement, {});
        if (!faces.empty() && owners.is_face(*faces.begin())) {
            text.axisless.merge(faces);
        } else {
            text.default_axes.insert(odd.placement);
            to_default.push_back(odd);
        }
    }
    if (!to_default.empty()) text.whole = with_default_axes(*text.whole, to_default);
}

/// N of "while translating #N (SomeEntity)"; 0 where the child did not say it.
std::uint32_t translated_entity(std::string_view last_words) {
    constexpr std::string_view lead = "while translating #";
    std::uint32_t entity = 0;
    if (const auto at = last_words.find(lead); at != last_words.npos) {
        const char* const first = last_words.data() + at + lead.size();
        std::from_chars(first, last_words.data() + last_words.size(), entity);
    }
    return entity;
}

}  // namespace

KernelText text_for_kernel(const std::filesystem::path& file, const StepHeader& header,
                           const Lessons& lessons) {
    KernelText text;
    text.whole = readable_text(file, header);
    text.crashed = lessons.crashed;
    if (header.n_missing == 0 && text.crashed.empty() && !lessons.links && header.sound_axes)
        return text;
    if (!text.whole) text.whole = read_step_text(file);
    if (!header.sound_axes) settle_odd_axes(text);
    if (auto amended = with_lost_definitions(*text.whole)) {
        text.whole = std::move(amended->text);
        text.lost_definitions = std::move(amended->definitions);
    }
    if (lessons.links) text.whole = with_named_locations(*text.whole).value_or(*text.whole);
    const StepOwners owners(*text.whole);
    text.broken = owners.faces_with_missing_records();
    if (lessons.links) {
        text.styles = owners.styles_with_missing_records();
        text.links = owners.broken_links();
        text.stand_ins = owners.stand_ins();
    }
    Entities all = text.broken;
    all.insert(text.axisless.begin(), text.axisless.end());
    all.insert(text.crashed.begin(), text.crashed.end());
    all.insert(text.styles.begin(), text.styles.end());
    if (all.empty() && text.links.empty() && text.stand_ins.empty()) return text;
    Entities blanked = text.links;
    blanked.insert(text.styles.begin(), text.styles.end());
    blanked.insert(lessons.unreadable.begin(), lessons.unreadable.end());
    text.thinned = StepOwners::with_stand_ins(owners.text_without(all), blanked, text.stand_ins);
    return text;
}

void note_taken_out(const KernelText& text, OcctDocument& loaded) {
    if (!text.thinned) return;
    const auto add = [&](std::uint32_t entity, const char* reason) {
        const auto name = loaded.names.find(entity);
        loaded.not_translated.push_back(
            {.entity = "#" + std::to_string(entity),
             .name = name == loaded.names.end() ? std::string{} : name->second,
             .reason = reason,
             .area_known = false});
    };
    for (const std::uint32_t face : text.broken)
        add(face, "this face needs an entity that is not there");
    for (const std::uint32_t face : text.axisless)
        add(face, "an axis that this face goes by points nowhere");
    const StepOwners owners(*text.whole);
    for (const std::uint32_t entity : text.crashed) {
        if (owners.is_face(entity) && !text.broken.contains(entity)) {
            add(entity, "the CAD kernel crashed when it came to this face");
        }
    }
    Entities faulty = text.links;
    faulty.insert(text.styles.begin(), text.styles.end());
    for (const auto& [missing, body] : text.stand_ins) {
        for (const std::uint32_t owner : owners.owners_of(missing)) faulty.insert(owner);
    }
    for (const std::uint32_t entity : faulty) {
        const auto same = [&](const FaultyEntity& other) { return other.step_entity == entity; };
        if (std::ranges::none_of(loaded.faulty, same)) {
            loaded.faulty.push_back({entity, "it needs a record that the file lacks"});
        }
    }
    loaded.n_faulty = static_cast<std::uint32_t>(loaded.faulty.size());
    if (loaded.n_faulty > 0) loaded.first_faulty = loaded.faulty.front().step_entity;
    loaded.any_error = true;
    loaded.file_text = [whole = *text.whole] { return whole; };
}

// The first lesson is cheap and needs no entity.
bool learn(const std::filesystem::path& file, const StepHeader& header, const ChildFailure& failure,
           Lessons& lessons) {
    if (!failure.crashed()) return false;
    if (!lessons.links) {
        lessons.links = true;
        return true;
    }
    const std::uint32_t entity = translated_entity(failure.what());
    if (entity == 0 && !lessons.unreadable.empty()) return false;
    const std::string text = readable_text(file, header).value_or(read_step_text(file));
    const StepOwners owners(text);
    Entities suspects{entity};
    if (entity == 0) suspects = lessons.unreadable = owners.shapes_with_empty_lists();
    const std::size_t before = lessons.crashed.size();
    for (const std::uint32_t suspect : suspects)
        lessons.crashed.merge(owners.to_leave_out(suspect, lessons.crashed));
    return lessons.crashed.size() > before;
}

}  // namespace noonshell
