#include "geometry/occt_units.hpp"

#include <StepBasic_ConversionBasedUnitAndLengthUnit.hxx>
#include <StepBasic_SiUnitAndLengthUnit.hxx>
#include <StepData_StepModel.hxx>
#include <StepGeom_GeomRepContextAndGlobUnitAssCtxAndGlobUncertaintyAssCtx.hxx>
#include <StepGeom_GeometricRepresentationContextAndGlobalUnitAssignedContext.hxx>
#include <StepRepr_GlobalUnitAssignedContext.hxx>
#include <TCollection_HAsciiString.hxx>
#include <algorithm>
#include <array>
#include <cctype>

#include "geometry/occt_text.hpp"

namespace noonshell {

namespace {

using opencascade::handle;

std::string si_name(const StepBasic_SiUnit& unit) {
    // In the order of the kernel's StepBasic_SiPrefix.
    constexpr std::array<const char*, 16> prefixes = {
        "exa",  "peta",  "tera",  "giga",  "mega", "kilo", "hecto", "deca",
        "deci", "centi", "milli", "micro", "nano", "pico", "femto", "atto"};
    if (!unit.HasPrefix()) return "metre";
    const auto at = static_cast<std::size_t>(unit.Prefix());
    return (at < prefixes.size() ? prefixes[at] : "unknown ") + std::string("metre");
}

/// Name of a length unit; empty for units of other quantities.
std::string length_name(const handle<StepBasic_NamedUnit>& unit) {
    if (const auto si = handle<StepBasic_SiUnitAndLengthUnit>::DownCast(unit); !si.IsNull()) {
        return si_name(*si);
    }
    const auto other = handle<StepBasic_ConversionBasedUnitAndLengthUnit>::DownCast(unit);
    if (other.IsNull() || other->Name().IsNull()) return {};
    std::string name = one_line(other->Name()->ToCString());
    std::ranges::transform(name, name.begin(), [](unsigned char c) { return std::tolower(c); });
    return name;
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

std::vector<std::string> length_units_of(const StepData_StepModel& model) {
    std::vector<std::string> names;
    for (int i = 1; i <= model.NbEntities(); ++i) {
        const auto context = units_of(model.Value(i));
        if (context.IsNull() || context->Units().IsNull()) continue;
        for (const auto& unit : *context->Units()) {
            std::string name = length_name(unit);
            if (name.empty() || std::ranges::find(names, name) != names.end()) continue;
            names.push_back(std::move(name));
        }
    }
    return names;
}

}  // namespace noonshell
