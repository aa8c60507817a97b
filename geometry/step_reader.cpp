#include "geometry/step_reader.hpp"

#include <Standard_Failure.hxx>
#include <algorithm>
#include <cmath>
#include <mutex>
#include <string_view>

#include "geometry/child_process.hpp"
#include "geometry/model_bytes.hpp"
#include "geometry/occt_assembly.hpp"
#include "geometry/occt_document.hpp"
#include "geometry/occt_text.hpp"
#include "geometry/step_prescan.hpp"

namespace noonshell {

namespace {

/// Outside this range the length unit of the file is more likely wrong than the model.
constexpr double least_model_size_m = 1.0;
constexpr double largest_model_size_m = 5000.0;
/// A cube of 1 m written in inches may come out a rounding below 1 m.
constexpr double size_slack = 1e-6;

/// Single-precision ray tracing keeps 1 mm up to about this distance from the origin.
constexpr double farthest_from_origin_m = 10000.0;

constexpr double longest_time_limit_s = 1e6;

void fill_bbox(Model& model) {
    Vec3 low = model.mesh.vertices_m.front();
    Vec3 high = low;
    for (const Vec3& v : model.mesh.vertices_m) {
        low = low.cwiseMin(v);
        high = high.cwiseMax(v);
    }
    model.bbox_m = {low.x(), low.y(), low.z(), high.x(), high.y(), high.z()};
}

std::string metres(double length_m) {
    std::ostringstream text;
    text.precision(3);
    text << length_m << " m";
    return text.str();
}

void warn_of_odd_size(Model& model) {
    const auto& b = model.bbox_m;
    const double size_m = std::max({b[3] - b[0], b[4] - b[1], b[5] - b[2]});
    if (size_m < least_model_size_m * (1 - size_slack) || size_m > largest_model_size_m) {
        model.warnings.push_back({"model-size",
                                  "the whole model measures " + metres(size_m) +
                                      "; check the length unit (" + model.length_unit + ")",
                                  model.file});
    }
    double farthest_m = 0;
    for (const double x : b) farthest_m = std::max(farthest_m, std::abs(x));
    if (farthest_m > farthest_from_origin_m && farthest_m > 10 * size_m) {
        model.warnings.push_back({"far-from-origin",
                                  "the model lies " + metres(farthest_m) +
                                      " from its origin; small gaps lose their meaning",
                                  model.file});
    }
}

void warn_of_header(const StepHeader& header, const std::vector<std::string>& units, Model& model) {
    if (!header.known_schema) {
        model.warnings.push_back(
            {"schema-unknown",
             "expected AP203, AP214 or AP242, saw " + header.schema + "; read all the same",
             model.file});
    }
    if (!header.utf8) {
        model.warnings.push_back(
            {"text-encoding", "names are not UTF-8; read as ISO 8859-1", model.file});
    }
    if (units.size() > 1) {
        model.warnings.push_back({"mixed-units",
                                  "parts use different length units (" + model.length_unit +
                                      "); each was converted by its own",
                                  model.file});
    }
}

/// Solids that stand in the file but reached no body.
void note_lost_solids(const OcctDocument& loaded, const AssemblyTally& tally, Model& model) {
    for (const SolidInFile& solid : loaded.solids) {
        if (tally.faces_read.contains(solid.a_face)) continue;
        model.left_out.push_back(
            {.entity = "#" + std::to_string(solid.step_entity),
             .name = solid.name,
             .reason = solid.a_face == nullptr
                           ? "the CAD kernel could not translate this solid"
                           : "no readable entry of the assembly places this solid",
             .area_m2 = 0});
    }
}

void warn_of_faulty_entities(const OcctDocument& loaded, Model& model) {
    if (loaded.n_faulty == 0) return;
    model.warnings.push_back(
        {"faulty-entities",
         std::to_string(loaded.n_faulty) +
             " entities of the file cannot be read as they stand; parts may be "
             "missing or misplaced",
         "#" + std::to_string(loaded.first_faulty)});
}

std::string joined(const std::vector<std::string>& words) {
    std::string text;
    for (const auto& word : words) text += (text.empty() ? "" : ", ") + word;
    return text;
}

[[noreturn]] void refuse_without_bodies(const Model& model, const AssemblyTally& seen) {
    std::string text = "none";
    if (seen.n_edges + seen.n_vertices > 0) {
        text = std::to_string(seen.n_edges) + " curves and " + std::to_string(seen.n_vertices) +
               " points only";
    } else if (!model.left_out.empty()) {
        const LeftOut& left = model.left_out.front();
        text = std::to_string(model.left_out.size()) + " left out, the first " + left.entity +
               (left.entity.empty() ? "" : " ") + "because " + left.reason;
    }
    throw InputError({.file = model.file, .line = {}, .column = {}, .entity = {}},
                     "at least one solid or shell", text);
}

Model translate(const std::filesystem::path& file, const StepHeader& header,
                const StepReadOptions& options) {
    OcctSession session;
    OcctDocument loaded = load_document(file.string(), header.utf8, session);
    Model model;
    model.file = file.string();
    model.schema = header.schema;
    model.length_unit = loaded.length_units.empty() ? "unknown" : joined(loaded.length_units);
    model.left_out = std::move(loaded.not_translated);
    warn_of_header(header, loaded.length_units, model);
    warn_of_faulty_entities(loaded, model);
    for (const std::uint32_t entity : loaded.lost_mirrors) {
        model.warnings.push_back(
            {"placement-not-kept",
             "this entity mirrors or scales an occurrence; the CAD kernel only "
             "moves and turns it: save such a part as a part of its own",
             "#" + std::to_string(entity)});
    }

    const AssemblyTally tally = read_assembly(loaded, options, model);
    note_lost_solids(loaded, tally, model);
    if (model.bodies.empty()) refuse_without_bodies(model, tally);
    fill_bbox(model);
    warn_of_odd_size(model);
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
}

[[noreturn]] void refuse_untranslatable(const std::filesystem::path& file, const std::string& how) {
    throw InputError({.file = file.string(), .line = {}, .column = {}, .entity = {}},
                     "a STEP file that the CAD kernel can translate",
                     "one on which it fails: " + how);
}

/// First byte of what the child hands back.
enum class Outcome : char { model = 'm', input_error = 'i', fault = 'f' };

/// Translates in the child; whatever happens comes back as bytes.
std::string outcome_of_translation(const std::filesystem::path& file, const StepHeader& header,
                                   const StepReadOptions& options) {
    const auto told = [](Outcome kind, const std::string& bytes) {
        return static_cast<char>(kind) + bytes;
    };
    try {
        try {
            return told(Outcome::model, to_bytes(translate(file, header, options)));
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

}  // namespace

Model read_step(const std::filesystem::path& file, const StepReadOptions& options) {
    check_options(options);
    const StepHeader header = prescan_step(file);
    const std::lock_guard lock(kernel_mutex());
    std::string outcome;
    try {
        outcome = run_in_child([&] { return outcome_of_translation(file, header, options); },
                               options.time_limit_s);
    } catch (const ChildFailure& failure) {
        refuse_untranslatable(file, failure.what());
    }
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
