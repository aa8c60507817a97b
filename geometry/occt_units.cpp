#include "geometry/occt_units.hpp"

#include <StepBasic_ConversionBasedUnitAndLengthUnit.hxx>
#include <StepBasic_MeasureValueMember.hxx>
#include <StepBasic_MeasureWithUnit.hxx>
#include <StepBasic_SiUnitAndLengthUnit.hxx>
#include <StepData_StepModel.hxx>
#include <StepGeom_GeomRepContextAndGlobUnitAssCtxAndGlobUncertaintyAssCtx.hxx>
#include <StepGeom_GeometricRepresentationContextAndGlobalUnitAssignedContext.hxx>
#include <StepRepr_GlobalUnitAssignedContext.hxx>
#include <TCollection_HAsciiString.hxx>
#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>

#include "geometry/diagnostics.hpp"
#include "geometry/occt_text.hpp"
#include "geometry/step_prescan.hpp"
#include "geometry/step_records.hpp"

namespace noonshell {

namespace {

using opencascade::handle;

/// In the order of the kernel's StepBasic_SiPrefix.
struct SiPrefix {
    const char* name;
    double factor;
};
constexpr std::array<SiPrefix, 16> si_prefixes = {{{"exa", 1e18},
                                                   {"peta", 1e15},
                                                   {"tera", 1e12},
                                                   {"giga", 1e9},
                                                   {"mega", 1e6},
                                                   {"kilo", 1e3},
                                                   {"hecto", 1e2},
                                                   {"deca", 1e1},
                                                   {"deci", 1e-1},
                                                   {"centi", 1e-2},
                                                   {"milli", 1e-3},
                                                   {"micro", 1e-6},
                                                   {"nano", 1e-9},
                                                   {"pico", 1e-12},
                                                   {"femto", 1e-15},
                                                   {"atto", 1e-18}}};

FileLengthUnit si_unit(const StepBasic_SiUnit& unit) {
    const bool valid = unit.Name() == StepBasic_sunMetre;
    if (!unit.HasPrefix()) return {"metre", 1.0, valid};
    const auto at = static_cast<std::size_t>(unit.Prefix());
    if (at >= si_prefixes.size()) return {"unknown metre", 0};
    return {si_prefixes[at].name + std::string("metre"), si_prefixes[at].factor, valid};
}

/// Where the units are read from, for messages.
struct UnitSource {
    const StepData_StepModel& model;
    const std::string& file;
};

FileLengthUnit length_unit(const handle<StepBasic_NamedUnit>& unit, const UnitSource& source,
                           int depth = 0);

/// The factor as it stands in the file: the kernel makes 0 of what is no number.
std::string written_factor(const std::string& file, std::uint32_t measure) {
    const std::string text = read_step_text(file);
    const StepRecords records(text);
    std::string_view body = records.body(measure);
    const auto open = body.rfind('(');
    if (open == body.npos || body.find(')', open) == body.npos) return "one that is no number";
    body = body.substr(open + 1, body.find(')', open) - open - 1);
    constexpr std::size_t longest_told = 40;
    return one_line(body.substr(0, longest_told));
}

/// So many of another unit; lengths times such a number must still be lengths.
double sound_factor(const StepBasic_MeasureWithUnit& measure, const std::string& unit,
                    const UnitSource& source) {
    const bool is_number = !measure.ValueComponentMember().IsNull();
    const double factor = is_number ? measure.ValueComponent() : 0;
    if (is_number && std::isfinite(factor) && factor > 0) return factor;
    const auto entity = static_cast<std::uint32_t>(source.model.IdentLabel(&measure));
    throw InputError(
        {.file = source.file, .line = {}, .column = {}, .entity = "#" + std::to_string(entity)},
        "a conversion factor above 0 for the length unit " + unit,
        written_factor(source.file, entity));
}

/// Length of a unit that the file gives as so many of another [m]; 0 where it cannot be read.
double converted_length_m(const StepBasic_ConversionBasedUnit& unit, const std::string& name,
                          const UnitSource& source, int depth) {
    const auto measure = unit.ConversionFactor();
    constexpr int deepest = 4;
    if (measure.IsNull() || depth > deepest) return 0;
    const double factor = sound_factor(*measure, name, source);
    const auto base = measure->UnitComponent().NamedUnit();
    return base.IsNull() ? 0 : factor * length_unit(base, source, depth + 1).length_m;
}

/// A nameless unit for units of other quantities.
FileLengthUnit length_unit(const handle<StepBasic_NamedUnit>& unit, const UnitSource& source,
                           int depth) {
    if (const auto si = handle<StepBasic_SiUnitAndLengthUnit>::DownCast(unit); !si.IsNull()) {
        return si_unit(*si);
    }
    const auto other = handle<StepBasic_ConversionBasedUnitAndLengthUnit>::DownCast(unit);
    if (other.IsNull() || other->Name().IsNull()) return {};
    std::string name = one_line(other->Name()->ToCString());
    std::ranges::transform(name, name.begin(), [](unsigned char c) { return std::tolower(c); });
    const double length_m = converted_length_m(*other, name, source, depth);
    return {std::move(name), length_m};
}

/// The units of a geometric context; null for other entities.
handle<StepRepr_GlobalUnitAssignedContext> units_of(const handle<Standard_Transient>& entity) {
    using WithUncertainty = StepGeom_GeomRepContextAndGlobUnitAssCtxAndGlobUncertaintyAssCtx;
    using Without = StepGeom_GeometricRepresentationContextAndGlobalUnitAssignedContext;
    if (const auto context = handle<WithUncertainty>::DownCast(entity); !context.IsNull()) {
        return context->GlobalUnitAssignedContext();
    }
    const auto context = handle<Without>::DownCast(entity);
    return context.IsNull() ? nullptr : context->GlobalUnitAssignedContext();
}

}  // namespace

FileLengthUnits length_units_of(const StepData_StepModel& model, const std::string& file) {
    const UnitSource source{model, file};
    FileLengthUnits out;
    for (int i = 1; i <= model.NbEntities(); ++i) {
        const auto& entity = model.Value(i);
        const auto context = units_of(entity);
        if (context.IsNull()) continue;
        bool has_length = false;
        if (!context->Units().IsNull()) {
            for (const auto& unit : *context->Units()) {
                FileLengthUnit found = length_unit(unit, source);
                if (found.name.empty()) continue;
                has_length = true;
                const bool known = std::ranges::any_of(out.units, [&](const FileLengthUnit& other) {
                    return other.name == found.name;
                });
                if (!known) out.units.push_back(std::move(found));
            }
        }
        if (!has_length) {
            out.contexts_without.push_back(static_cast<std::uint32_t>(model.IdentLabel(entity)));
        }
    }
    return out;
}

}  // namespace noonshell
