#include "geometry/step_reader.hpp"

#include <Standard_Failure.hxx>
#include <Standard_OutOfMemory.hxx>
#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <mutex>
#include <new>
#include <set>
#include <sstream>
#include <string_view>

#include "geometry/child_process.hpp"
#include "geometry/kernel_text.hpp"
#include "geometry/model_bytes.hpp"
#include "geometry/model_losses.hpp"
#include "geometry/occt_assembly.hpp"
#include "geometry/occt_document.hpp"
#include "geometry/occt_text.hpp"
#include "geometry/plain_text.hpp"
#include "geometry/reading_stage.hpp"
#include "geometry/size_note.hpp"
#include "geometry/step_prescan.hpp"
#include "geometry/tessellated_bodies.hpp"

namespace noonshell {

namespace {

constexpr double longest_time_limit_s = 1e6;
constexpr double largest_memory_limit_gib = 1e6;
constexpr double bytes_per_gib = 1024.0 * 1024.0 * 1024.0;

/// Nothing on Earth lies farther from any origin that a builder may choose.
constexpr double largest_position_m = 1e9;

void fill_bbox(Model& model) {
    Vec3 low = model.mesh.vertices_m.front();
    Vec3 high = low;
    for (const Vec3& v : model.mesh.vertices_m) {
        low = low.cwiseMin(v);
        high = high.cwiseMax(v);
    }
    model.bbox_m = {low.x(), low.y(), low.z(), high.x(), high.y(), high.z()};
}

void warn_of_header(const StepHeader& header, std::size_t n_units, Model& model) {
    if (!header.known_schema) {
        model.warnings.push_back(
            {"schema-unknown",
             "expected AP203, AP214 or AP242, saw " + header.schema + "; read all the same",
             model.file});
    }
    if (header.n_unknown_characters > 0) {
        model.warnings.push_back(
            {"name-encoding",
             counted(header.n_unknown_characters, "byte is", "bytes are") +
                 " neither UTF-8 nor ISO 8859-1 and shown as \uFFFD in names: export the "
                 "file with names in UTF-8 or in the escapes of ISO 10303-21",
             model.file});
    } else if (!header.utf8) {
        model.warnings.push_back(
            {"text-encoding", "names are not UTF-8; read as ISO 8859-1", model.file});
    }
    if (header.ring_length > 0) {
        model.warnings.push_back({"reference-ring",
                                  std::to_string(header.ring_length) +
                                      " entities refer to each other in a ring, so that each would "
                                      "be a part of itself; what hangs on them may be missing",
                                  "#" + std::to_string(header.ring_entity)});
    }
    if (header.n_repeated > 0) {
        std::string text;
        for (const RepeatedRecord& record : header.repeated) {
            text += (text.empty() ? "#" : "; #") + std::to_string(record.number) +
                    " stands in line " + std::to_string(record.first_line) + " and again in line " +
                    std::to_string(record.line);
        }
        if (header.n_repeated > header.repeated.size()) {
            text += "; and " + std::to_string(header.n_repeated - header.repeated.size()) + " more";
        }
        model.warnings.push_back({"number-repeated",
                                  text + "; the first of each counts, the others are passed over",
                                  "#" + std::to_string(header.repeated.front().number)});
    }
    if (n_units > 1) {
        model.warnings.push_back({"mixed-units",
                                  "parts use different length units (" + model.length_unit +
                                      "); each was converted by its own",
                                  model.file});
    }
}

void warn_of_faulty_entities(const OcctDocument& loaded, Model& model) {
    if (loaded.n_faulty == 0) return;
    model.warnings.push_back({"faulty-entities",
                              counted(loaded.n_faulty, "entity", "entities") +
                                  " of the file cannot be read as written; parts may be "
                                  "missing or misplaced",
                              "#" + std::to_string(loaded.first_faulty)});
}

/// Product definitions that the file names but does not hold were put in their place.
void warn_of_lost_definitions(const KernelText& text, Model& model) {
    for (const std::uint32_t definition : text.lost_definitions) {
        const std::string entity = "#" + std::to_string(definition);
        model.warnings.push_back(
            {"structure-lost",
             "the product_definition " + entity +
                 " is missing in the file; what is placed in it was told from the records that "
                 "refer to it, and its name may be another one",
             entity});
    }
}

/// Parts whose place goes by an axis that points nowhere lie as if none were told.
void warn_of_default_axes(const KernelText& text, Model& model) {
    if (text.default_axes.empty()) return;
    const std::string first = "#" + std::to_string(*text.default_axes.begin());
    model.warnings.push_back({"placement-lost",
                              counted(text.default_axes.size(), "placement") +
                                  " of a part or of the whole with an axis that points nowhere; "
                                  "the standard's default was taken, and parts may lie wrong",
                              first});
}

/// The kernel goes by the prefix of any SI unit, and by metres where there is no unit at all.
void warn_of_length_unit(const OcctDocument& loaded, Model& model) {
    const std::vector<FileLengthUnit>& units = loaded.length_units;
    const auto warn = [&](const std::string& why, const std::string& assumed) {
        model.warnings.push_back({"length-unit",
                                  "no valid length unit: " + why + "; " + assumed + " assumed",
                                  model.file});
    };
    for (const FileLengthUnit& unit : units) {
        if (!unit.valid) warn("a unit of another quantity stands in its place", unit.name);
    }
    if (units.empty()) warn("the file declares none", "metre");
    const std::vector<std::uint32_t>& without = loaded.contexts_without_unit;
    const bool all_in_metres = units.size() == 1 && units.front().name == "metre";
    if (units.empty() || without.empty() || all_in_metres) return;
    const bool one = without.size() == 1;
    model.warnings.push_back(
        {"length-unit",
         std::to_string(without.size()) + " of the file's geometric contexts " +
             (one ? "declares" : "declare") + " no length unit: what " + (one ? "it" : "they") +
             " place" + (one ? "s" : "") + " was read in metres, the rest in " + model.length_unit,
         "#" + std::to_string(without.front())});
}

std::string names_of(const std::vector<FileLengthUnit>& units) {
    std::string text;
    for (const auto& unit : units) text += (text.empty() ? "" : ", ") + unit.name;
    return text.empty() ? "unknown" : text;
}

void warn_of_lost_placements(const OperatorPlacements& operators, const AssemblyTally& tally,
                             Model& model) {
    std::set<std::uint32_t> lost(operators.not_kept.begin(), operators.not_kept.end());
    for (const MappedShape& mapped : operators.of_mapped_item) {
        if (mapped.step_entity != 0 && !tally.operators_used.contains(mapped.step_entity)) {
            lost.insert(mapped.step_entity);
        }
    }
    for (const std::uint32_t entity : lost) {
        model.warnings.push_back(
            {"placement-not-kept",
             "this entity mirrors or scales an occurrence that could not be found; it was only "
             "moved and turned: save such a part as a part of its own",
             "#" + std::to_string(entity)});
    }
}

/// The files that a file refers to, those that stand beside it apart.
struct OtherFiles {
    std::string missing, present;  ///< "a.step, b.step"
};

OtherFiles other_files(const std::vector<std::string>& names, const std::string& file) {
    OtherFiles found;
    const auto folder = std::filesystem::path(file).parent_path();
    for (const std::string& name : names) {
        std::error_code trouble;
        const bool there = std::filesystem::exists(folder / name, trouble);
        std::string& list = there ? found.present : found.missing;
        list += (list.empty() ? "" : ", ") + name;
    }
    return found;
}

/// One line for each kind of content that this program has no use for.
void warn_of_unused(const FileSurvey& found, const AssemblyTally& tally, Model& model) {
    if (tally.n_edges + tally.n_vertices > 0) {
        model.warnings.push_back({"wireframe",
                                  counted(tally.n_edges, "curve") + " and " +
                                      counted(tally.n_vertices, "point") +
                                      " that bound no face are not used",
                                  model.file});
    }
    if (found.n_annotations + found.n_tolerances > 0) {
        model.warnings.push_back({"annotations",
                                  counted(found.n_annotations, "drawn note") + " and " +
                                      counted(found.n_tolerances, "dimension, tolerance or datum",
                                              "dimensions, tolerances and datums") +
                                      " are not used",
                                  model.file});
    }
    if (found.other_files.empty()) return;
    const auto& [missing, present] = other_files(found.other_files, model.file);
    const auto warn = [&](const std::string& text) {
        model.warnings.push_back({"other-files", text, model.file});
    };
    if (!missing.empty()) {
        warn("the file refers to files that are not beside it: " + missing +
             "; what they hold is missing: save the assembly as one file");
    }
    if (!present.empty()) {
        warn("the file refers to files beside it: " + present +
             "; only what the CAD kernel takes from them is read, without entity numbers: save "
             "the assembly as one file");
    }
}

/// +Z up; a zero keeps its plain sign.
void turn_up(UpAxis up, Model& model) {
    model.up = name_of(up);
    if (up == UpAxis::z) return;
    const Eigen::Matrix3d turn = turn_to_z_up(up);
    for (Vec3& v : model.mesh.vertices_m) v = (turn * v).eval() + Vec3::Zero();
}

/// Sums of large but allowed coordinates and placements may still end up nowhere.
void refuse_without_sense(const Model& model) {
    for (const Face& face : model.faces) {
        for (std::uint32_t t = 0; t < face.n_triangles; ++t) {
            for (int k = 0; k < 3; ++k) {
                const Vec3 v = model.mesh.corner(face.first_triangle + t, k);
                if (v.allFinite() && v.cwiseAbs().maxCoeff() < largest_position_m) continue;
                throw InputError({.file = model.file,
                                  .line = {},
                                  .column = {},
                                  .entity = "#" + std::to_string(face.step_entity)},
                                 "a face within 1e9 m of the origin",
                                 "one with a corner at " + std::to_string(v.norm()) + " m");
            }
        }
    }
}

[[noreturn]] void refuse_without_bodies(const Model& model, const AssemblyTally& seen,
                                        const FileSurvey& found) {
    std::string text = "none";
    if (seen.n_edges + seen.n_vertices > 0) {
        text =
            counted(seen.n_edges, "curve") + " and " + counted(seen.n_vertices, "point") + " only";
    } else if (!model.left_out.empty()) {
        const LeftOut& left = model.left_out.front();
        text = std::to_string(model.left_out.size()) + " left out, the first " + left.entity +
               (left.entity.empty() ? "" : " ") + "because " + left.reason;
    }
    const auto& [missing, present] = other_files(found.other_files, model.file);
    if (!missing.empty()) text += "; the file refers to " + missing + ", not beside it";
    if (!present.empty()) text += "; the file refers to " + present + ", which is not read";
    if (!found.other_files.empty()) text += ": save the assembly as one file";
    throw InputError({.file = model.file, .line = {}, .column = {}, .entity = {}},
                     "at least one solid or shell", text);
}

Model translate(const std::filesystem::path& file, const StepHeader& header,
                const StepReadOptions& options, const Lessons& lessons) {
    OcctSession session;
    const KernelText text = text_for_kernel(file, header, lessons);
    OcctDocument loaded = load_document(file.string(),
                                        {.utf8 = header.utf8 || header.n_unknown_characters > 0,
                                         .may_be_empty = header.may_hold_tessellation,
                                         .text = text.for_kernel()},
                                        session);
    note_taken_out(text, loaded);
    Model model;
    model.file = file.string();
    model.schema = header.schema;
    model.length_unit = names_of(loaded.length_units);
    model.left_out = std::move(loaded.not_translated);
    warn_of_header(header, loaded.length_units.size(), model);
    warn_of_length_unit(loaded, model);
    warn_of_faulty_entities(loaded, model);
    warn_of_lost_definitions(text, model);
    warn_of_default_axes(text, model);
    const AssemblyTally tally = read_assembly(loaded, options, model);
    warn_of_lost_placements(loaded.operators, tally, model);
    warn_of_unused(loaded.survey, tally, model);
    now_at("after all bodies were read");
    if (header.may_hold_tessellation) add_tessellated_bodies(read_step_text(file), model);
    if (model.bodies.empty()) refuse_without_bodies(model, tally, loaded.survey);
    refuse_without_sense(model);
    drop_coincident_bodies(model);
    turn_up(options.up, model);
    fill_bbox(model);
    std::vector<double> unit_lengths_m;
    for (const auto& unit : loaded.length_units) unit_lengths_m.push_back(unit.length_m);
    warn_of_odd_size(model, unit_lengths_m);
    note_lost_area(model, options.lost_area_limit);
    return model;
}

void check_options(const StepReadOptions& options) {
    const auto demand = [](bool good, const char* name, const char* expected, double seen) {
        if (good) return;
        throw InputError({.file = {}, .line = {}, .column = {}, .entity = name}, expected,
                         std::to_string(seen));
    };
    demand(options.chord_tolerance_m > 0 && std::isfinite(options.chord_tolerance_m),
           "chord_tolerance_m", "a length above 0", options.chord_tolerance_m);
    demand(options.angle_tolerance_deg > 0 && options.angle_tolerance_deg <= 90,
           "angle_tolerance_deg", "an angle above 0 and up to 90", options.angle_tolerance_deg);
    demand(options.time_limit_s > 0 && options.time_limit_s <= longest_time_limit_s, "time_limit_s",
           "a time above 0 and up to 1e6 s", options.time_limit_s);
    demand(options.lost_area_limit >= 0 && options.lost_area_limit <= 1, "lost_area_limit",
           "a share from 0 to 1", options.lost_area_limit);
    demand(options.memory_limit_gib > 0 && options.memory_limit_gib <= largest_memory_limit_gib,
           "memory_limit_gib", "a size above 0 and up to 1e6 GiB", options.memory_limit_gib);
}

[[noreturn]] void refuse_untranslatable(const std::filesystem::path& file, const std::string& how) {
    throw InputError({.file = file.string(), .line = {}, .column = {}, .entity = {}},
                     "a STEP file that the CAD kernel can translate",
                     "one on which it fails: " + how);
}

[[noreturn]] void refuse_large(const std::filesystem::path& file, const StepReadOptions& options) {
    std::array<char, 256> stage{};
    say_stage(stage.data(), stage.size());
    std::ostringstream how;
    how << "it needs more than " << options.memory_limit_gib << " GiB of memory " << stage.data();
    refuse_untranslatable(file, how.str());
}

/// First byte of what the child hands back.
enum class Outcome : char { model = 'm', input_error = 'i', fault = 'f' };

/// Translates in the child; whatever happens comes back as bytes.
std::string outcome_of_translation(const std::filesystem::path& file, const StepHeader& header,
                                   const StepReadOptions& options, const Lessons& lessons) {
    const auto told = [](Outcome kind, const std::string& bytes) {
        return static_cast<char>(kind) + bytes;
    };
    try {
        try {
            return told(Outcome::model, to_bytes(translate(file, header, options, lessons)));
        } catch (const Standard_OutOfMemory&) {
            refuse_large(file, options);
        } catch (const std::bad_alloc&) {
            refuse_large(file, options);
        } catch (const Standard_Failure& failure) {
            const char* text = failure.GetMessageString();
            refuse_untranslatable(file,
                                  std::string(failure.DynamicType()->Name()) +
                                      (text == nullptr || *text == 0 ? "" : ": " + one_line(text)));
        }
    } catch (const InputError& error) {
        return told(Outcome::input_error, to_bytes(error));
    } catch (const std::exception& error) {
        return told(Outcome::fault, error.what());
    }
}

/// A file on which the kernel crashes is tried again without what it was at.
std::string outcome_of_attempts(const std::filesystem::path& file, const StepHeader& header,
                                const StepReadOptions& options) {
    using Clock = std::chrono::steady_clock;
    constexpr int most_attempts = 6;
    constexpr std::chrono::seconds time_for_more(4);
    const ChildLimits limits{
        .time_s = options.time_limit_s,
        .memory_bytes = static_cast<std::uint64_t>(options.memory_limit_gib * bytes_per_gib)};
    const auto begin = Clock::now();
    Lessons lessons;
    std::string first_failure;
    for (int attempt = 1;; ++attempt) {
        try {
            return run_in_child(
                [&] { return outcome_of_translation(file, header, options, lessons); }, limits,
                say_stage);
        } catch (const ChildFailure& failure) {
            if (attempt == 1) first_failure = failure.what();
            const bool late = Clock::now() - begin > time_for_more;
            if (late || attempt == most_attempts || !learn(file, header, failure, lessons)) {
                refuse_untranslatable(file, first_failure);
            }
        }
    }
}

}  // namespace

Model read_step(const std::filesystem::path& file, const StepReadOptions& options) {
    check_options(options);
    const StepHeader header = prescan_step(file);
    const std::lock_guard lock(kernel_mutex());
    const std::string outcome = outcome_of_attempts(file, header, options);
    const std::string_view bytes = std::string_view(outcome).substr(1);
    switch (Outcome{outcome.front()}) {
        case Outcome::model:
            return model_from_bytes(bytes);
        case Outcome::input_error:
            throw input_error_from_bytes(bytes);
        case Outcome::fault:
            break;
    }
    throw InvariantError("reading " + file.string() + ": " + std::string(bytes));
}

}  // namespace noonshell
