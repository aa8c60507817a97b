#include "geometry/occt_survey.hpp"

#include <Interface_Check.hxx>
#include <StepBasic_Document.hxx>
#include <StepBasic_DocumentFile.hxx>
#include <StepData_StepModel.hxx>
#include <StepDimTol_Datum.hxx>
#include <StepDimTol_GeometricTolerance.hxx>
#include <StepGeom_CartesianPoint.hxx>
#include <StepRepr_SpecifiedHigherUsageOccurrence.hxx>
#include <StepShape_DimensionalLocation.hxx>
#include <StepShape_DimensionalSize.hxx>
#include <StepVisual_AnnotationOccurrence.hxx>
#include <StepVisual_DraughtingCallout.hxx>
#include <StepVisual_TessellatedAnnotationOccurrence.hxx>
#include <TCollection_HAsciiString.hxx>
#include <algorithm>
#include <cmath>
#include <sstream>
#include <unordered_map>

#include "geometry/diagnostics.hpp"
#include "geometry/occt_text.hpp"

namespace noonshell {

namespace {

using opencascade::handle;

enum class Kind { other, point, annotation, tolerance, styled_occurrence, file };

Kind kind_of(const Standard_Transient& entity) {
    const auto is = [&](const handle<Standard_Type>& type) { return entity.IsKind(type); };
    if (is(STANDARD_TYPE(StepGeom_CartesianPoint))) return Kind::point;
    if (is(STANDARD_TYPE(StepVisual_AnnotationOccurrence)) ||
        is(STANDARD_TYPE(StepVisual_TessellatedAnnotationOccurrence)) ||
        is(STANDARD_TYPE(StepVisual_DraughtingCallout))) {
        return Kind::annotation;
    }
    if (is(STANDARD_TYPE(StepDimTol_GeometricTolerance)) || is(STANDARD_TYPE(StepDimTol_Datum)) ||
        is(STANDARD_TYPE(StepShape_DimensionalSize)) ||
        is(STANDARD_TYPE(StepShape_DimensionalLocation))) {
        return Kind::tolerance;
    }
    if (is(STANDARD_TYPE(StepRepr_SpecifiedHigherUsageOccurrence))) return Kind::styled_occurrence;
    if (is(STANDARD_TYPE(StepBasic_DocumentFile))) return Kind::file;
    return Kind::other;
}

[[noreturn]] void refuse_point(const std::string& file, int number, std::string seen) {
    throw InputError(
        {.file = file, .line = {}, .column = {}, .entity = "#" + std::to_string(number)},
        "a point whose coordinates are numbers below 1e12", std::move(seen));
}

void check_point(const StepData_StepModel& model, int at, const std::string& file) {
    const auto point = handle<StepGeom_CartesianPoint>::DownCast(model.Value(at));
    if (model.IsErrorEntity(at)) {
        const auto& check = model.Check(at, true);
        for (int i = 1; i <= check->NbFails(); ++i) {
            const std::string fail = check->CFail(i);
            if (fail.find("oordinate") == fail.npos) continue;
            refuse_point(file, model.IdentLabel(point), "something that is no number");
        }
        return;
    }
    for (int i = 1; i <= point->NbCoordinates() && point->NbCoordinates() == 3; ++i) {
        const double x = point->CoordinatesValue(i);
        if (std::abs(x) < largest_coordinate) continue;
        std::ostringstream seen;
        seen << x;
        refuse_point(file, model.IdentLabel(point), seen.str());
    }
}

/// The name under which a file is referred to: the document's id, else its name.
std::string file_name(const StepBasic_DocumentFile& document) {
    for (const auto& text :
         {document.StepBasic_Document::Id(), document.StepBasic_Document::Name()}) {
        if (text.IsNull()) continue;
        std::string name = one_line(text->ToCString());
        if (!name.empty()) return name;
    }
    return "a file without a name";
}

}  // namespace

FileSurvey survey(const StepData_StepModel& model, const std::string& file) {
    FileSurvey out;
    std::unordered_map<const Standard_Type*, Kind> kinds;  // asking each entity anew takes long
    for (int i = 1; i <= model.NbEntities(); ++i) {
        const auto& entity = model.Value(i);
        const auto [found, is_new] = kinds.try_emplace(entity->DynamicType().get(), Kind::other);
        if (is_new) found->second = kind_of(*entity);
        switch (found->second) {
            case Kind::point:
                check_point(model, i, file);
                break;
            case Kind::annotation:
                ++out.n_annotations;
                break;
            case Kind::tolerance:
                ++out.n_tolerances;
                break;
            case Kind::styled_occurrence:
                out.styles_by_occurrence = true;
                break;
            case Kind::file: {
                std::string name = file_name(*handle<StepBasic_DocumentFile>::DownCast(entity));
                if (std::ranges::find(out.other_files, name) == out.other_files.end()) {
                    out.other_files.push_back(std::move(name));
                }
                break;
            }
            case Kind::other:
                break;
        }
    }
    return out;
}

}  // namespace noonshell
