#include "geometry/coloured_step.hpp"

#include <array>
#include <cstdio>
#include <fstream>
#include <map>
#include <set>
#include <stdexcept>
#include <unordered_map>

#include "geometry/step_copies.hpp"
#include "geometry/step_edit.hpp"
#include "geometry/step_face_places.hpp"
#include "geometry/step_prescan.hpp"
#include "geometry/step_solids.hpp"
#include "geometry/step_styles.hpp"
#include "geometry/up_axis.hpp"

namespace noonshell {

namespace {

using FaceColours = std::map<std::uint32_t, Rgb>;  ///< by record of the face
using StyledItems = std::unordered_map<std::uint32_t, std::vector<std::uint32_t>>;

std::string text_of(const Rgb& colour) {
    std::array<char, 96> text{};
    std::snprintf(text.data(), text.size(), "%a,%a,%a", static_cast<double>(colour[0]),
                  static_cast<double>(colour[1]), static_cast<double>(colour[2]));
    return text.data();
}

/// Styled items by the item that they style.
StyledItems styled_items(const StepEdit& edit) {
    StyledItems out;
    for (const std::uint32_t number : edit.numbers()) {
        const std::string_view body = edit.body(number);
        if (body.find("STYLED_ITEM") == body.npos) continue;
        const bool over_riding = body.find("OVER_RIDING_STYLED_ITEM") != body.npos;
        const std::vector<std::uint32_t> all = references(body);
        const std::size_t from_end = over_riding ? 2 : 1;
        // A style for one occurrence alone names more than the item and is left as it is.
        if (all.size() < 2 || body.find("CONTEXT_DEPENDENT") != body.npos) continue;
        if (all.size() > from_end) out[all[all.size() - from_end]].push_back(number);
    }
    return out;
}

/// One run of the writer.
class ColouredStep {
  public:
    ColouredStep(std::string text, const Model& model, const std::vector<FaceColour>& colours,
                 const std::vector<PrismBody>& added, const ColouredStepOptions& options)
        : edit_(std::move(text)),
          structure_(edit_),
          styled_(styled_items(edit_)),
          styles_(edit_, styled_),
          model_(model),
          added_(added),
          options_(options),
          colour_of_(model.faces.size()) {
        NOONSHELL_CHECK_LE(added.size(), model.bodies.size());
        for (const FaceColour& given : colours) {
            NOONSHELL_CHECK_LT(given.face.index(), model.faces.size());
            colour_of_[given.face.index()] = given.colour;
        }
    }

    std::string write() {
        colour_model();
        if (!added_.empty()) add_bodies();
        styles_.finish();
        report.n_copied_parts = structure_.n_copies();
        return edit_.text();
    }

    ColouredStepReport report;

  private:
    std::size_t n_own_bodies() const { return model_.bodies.size() - added_.size(); }
    FaceColours colours_at(const PlacedBodies& here);
    void colour_model();
    void colour_place(const FaceColours& colours, const NumberMap* copy, const FacePlaces& places);
    void keep_styles(const FaceColours& colours, const NumberMap& copy);
    void warn_of_lost_faces(const FacePlaces& places);
    void add_bodies();
    StepTarget target() const;
    std::uint32_t context_of(std::uint32_t representation) const {
        return structure_.records().read(representation).at(2).reference;
    }

    StepEdit edit_;
    StepParts structure_;
    StyledItems styled_;
    StepStyles styles_;
    const Model& model_;
    const std::vector<PrismBody>& added_;
    const ColouredStepOptions& options_;
    std::vector<std::optional<Rgb>> colour_of_;  ///< by face of the model
    std::set<std::size_t> shared_;               ///< bodies whose colours met others
};

/// Colours of the records at one place. Where two faces of the model are one record of the file,
/// the first one's colour stands.
FaceColours ColouredStep::colours_at(const PlacedBodies& here) {
    FaceColours out;
    for (const std::size_t b : here.bodies) {
        const Body& body = model_.bodies[b];
        for (std::uint32_t k = 0; k < body.n_faces; ++k) {
            const std::size_t f = body.first_face + k;
            const std::uint32_t record = model_.faces[f].step_entity;
            if (!colour_of_[f] || record == 0) continue;
            const auto [at, is_new] = out.try_emplace(record, *colour_of_[f]);
            if (!is_new && at->second != *colour_of_[f]) shared_.insert(b);
        }
    }
    return out;
}

void ColouredStep::colour_model() {
    const FacePlaces places(structure_, model_, n_own_bodies(), options_.match_tolerance_m);
    StepParts::Looks looks;
    std::vector<FaceColours> colours;
    for (const PlacedBodies& here : places.placed()) {
        colours.push_back(colours_at(here));
        std::string look;
        for (const auto& [face, colour] : colours.back()) {
            look += std::to_string(face) + ":" + text_of(colour) + ";";
        }
        looks[{here.definition, here.occurrences}] = look;
    }
    const StepParts::Copies copies = structure_.separate(looks);
    std::set<std::pair<std::uint32_t, const NumberMap*>> done;
    for (std::size_t k = 0; k < colours.size(); ++k) {
        const PlacedBodies& here = places.placed()[k];
        const auto found = copies.find({here.definition, here.occurrences});
        const NumberMap* copy = found == copies.end() ? nullptr : found->second;
        if (done.insert({here.definition, copy}).second) colour_place(colours[k], copy, places);
    }
    warn_of_lost_faces(places);
}

void ColouredStep::colour_place(const FaceColours& colours, const NumberMap* copy,
                                const FacePlaces& places) {
    for (const auto& [face, colour] : colours) {
        const std::uint32_t representation = places.representation_of(face);
        if (representation == 0) continue;
        const std::uint32_t context = context_of(representation);
        if (copy == nullptr) {
            styles_.colour(face, colour, context);
        } else {
            styles_.colour_new(copy->at(face), colour, context);
        }
    }
    if (copy != nullptr) keep_styles(colours, *copy);
}

/// What a copy does not get a new colour for looks as in the part that it was copied from.
void ColouredStep::keep_styles(const FaceColours& colours, const NumberMap& copy) {
    std::map<std::uint32_t, std::vector<std::uint32_t>> by_context;
    for (const std::uint32_t number :
         structure_.records().with("MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION")) {
        const StepValue presentation = structure_.records().read(number);
        std::vector<std::uint32_t> kept;
        for (const StepValue& entry : presentation.at(1).items) {
            const StepValue item = structure_.records().read(entry.reference);
            const std::uint32_t styled = item.at(2).reference;
            if (item.kind != StepValue::Kind::typed || !item.text.ends_with("STYLED_ITEM") ||
                item.text.starts_with("CONTEXT") || !copy.contains(styled) ||
                colours.contains(styled)) {
                continue;
            }
            std::string styles;
            for (const StepValue& style : item.at(1).items) {
                styles += (styles.empty() ? "#" : ",#") + std::to_string(style.reference);
            }
            by_context[presentation.at(2).reference].push_back(edit_.add(
                "STYLED_ITEM('',(" + styles + "),#" + std::to_string(copy.at(styled)) + ")"));
        }
    }
    for (const auto& [context, items] : by_context) styles_.list(items, context);
}

void ColouredStep::warn_of_lost_faces(const FacePlaces& places) {
    for (std::size_t b = 0; b < n_own_bodies(); ++b) {
        const Body& body = model_.bodies[b];
        std::size_t n_lost = 0;
        for (std::uint32_t k = 0; k < body.n_faces; ++k) {
            const std::size_t f = body.first_face + k;
            if (!colour_of_[f]) continue;
            const std::uint32_t record = model_.faces[f].step_entity;
            if (places.found()[b] && places.representation_of(record) != 0) {
                ++report.n_coloured;
            } else {
                ++n_lost;
            }
        }
        if (n_lost > 0) {
            report.warnings.push_back({"face-not-coloured",
                                       std::to_string(n_lost) +
                                           " faces are no records of the file that can be "
                                           "coloured: they keep their look",
                                       body.id});
        }
        if (shared_.contains(b)) {
            report.warnings.push_back({"colour-shared",
                                       "faces that are one record of the file have different "
                                       "results: they show the first one's",
                                       body.id});
        }
    }
}

/// Follows the first part of the file whose unit is known.
StepTarget ColouredStep::target() const {
    for (const auto& [definition, part] : structure_.parts()) {
        if (part.representations.empty()) continue;
        const double unit_m = structure_.unit_m(part.representations.front());
        if (unit_m <= 0) continue;
        const UpAxis up = up_axis_from(model_.up).value_or(UpAxis::z);
        return {definition, context_of(part.representations.front()), unit_m,
                turn_to_z_up(up).transpose()};
    }
    return {};
}

void ColouredStep::add_bodies() {
    const StepTarget to = target();
    if (to.definition == 0) {
        report.warnings.push_back({"shades-not-written",
                                   "the file names no part with a length unit to follow",
                                   options_.added_name});
        return;
    }
    const auto faces = add_solids(edit_, structure_.records(), to, options_.added_name, added_);
    for (std::size_t b = 0; b < faces.size(); ++b) {
        const Body& body = model_.bodies[n_own_bodies() + b];
        NOONSHELL_CHECK_EQ(faces[b].size(), std::size_t{body.n_faces});
        for (std::size_t k = 0; k < faces[b].size(); ++k) {
            const auto& colour = colour_of_[body.first_face + k];
            if (!colour) continue;
            styles_.colour_new(faces[b][k], *colour, to.context);
            ++report.n_coloured;
        }
    }
}

}  // namespace

ColouredStepReport write_coloured_step(const std::filesystem::path& source,
                                       const std::filesystem::path& target, const Model& model,
                                       const std::vector<FaceColour>& colours,
                                       const std::vector<PrismBody>& added,
                                       const ColouredStepOptions& options) {
    prescan_step(source);
    ColouredStep step(read_step_text(source), model, colours, added, options);
    const std::string text = step.write();
    std::ofstream out(target, std::ios::binary | std::ios::trunc);
    out << text;
    out.close();
    if (!out) throw std::runtime_error(target.string() + ": cannot be written");
    return std::move(step.report);
}

}  // namespace noonshell
