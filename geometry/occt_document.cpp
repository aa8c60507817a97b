#include "geometry/occt_document.hpp"

#include <Interface_Check.hxx>
#include <STEPCAFControl_Reader.hxx>
#include <StepData_StepModel.hxx>
#include <StepGeom_CartesianTransformationOperator3d.hxx>
#include <StepGeom_Direction.hxx>
#include <StepRepr_PropertyDefinition.hxx>
#include <StepRepr_RepresentationItem.hxx>
#include <StepShape_ConnectedFaceSet.hxx>
#include <StepShape_FaceSurface.hxx>
#include <StepShape_ShellBasedSurfaceModel.hxx>
#include <StepShape_SolidModel.hxx>
#include <TCollection_HAsciiString.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS_Shape.hxx>
#include <TransferBRep.hxx>
#include <Transfer_Binder.hxx>
#include <Transfer_TransientProcess.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XSControl_TransferReader.hxx>
#include <XSControl_WorkSession.hxx>
#include <algorithm>
#include <gp_Vec.hxx>
#include <string_view>

#include "geometry/occt_names.hpp"
#include "geometry/occt_text.hpp"
#include "geometry/occt_units.hpp"

namespace noonshell {

namespace {

[[noreturn]] void refuse(const std::string& file, std::string expected, std::string seen) {
    throw InputError({.file = file, .line = {}, .column = {}, .entity = {}}, std::move(expected),
                     std::move(seen));
}

bool bears_a_useful_name(const opencascade::handle<Standard_Transient>& entity) {
    return entity->IsKind(STANDARD_TYPE(StepShape_FaceSurface)) ||
           entity->IsKind(STANDARD_TYPE(StepShape_SolidModel)) ||
           entity->IsKind(STANDARD_TYPE(StepShape_ConnectedFaceSet)) ||
           entity->IsKind(STANDARD_TYPE(StepShape_ShellBasedSurfaceModel));
}

std::string name_of(const opencascade::handle<Standard_Transient>& entity) {
    const auto item = opencascade::handle<StepRepr_RepresentationItem>::DownCast(entity);
    if (item.IsNull() || item->Name().IsNull()) return {};
    std::string name = one_line(item->Name()->ToCString());
    return is_filler_name(name) ? std::string{} : name;
}

LeftOut lost_face(const opencascade::handle<Transfer_Binder>& binder, const ShapeOrigin& origin) {
    std::string reason = "the CAD kernel could not translate this face";
    if (!binder.IsNull() && binder->Check()->NbFails() > 0) {
        reason += ": " + one_line(binder->Check()->CFail(1));
    }
    return {.entity = "#" + std::to_string(origin.step_entity),
            .name = origin.name,
            .reason = std::move(reason),
            .area_m2 = 0};
}

void collect_origins(STEPCAFControl_Reader& reader, OcctDocument& out) {
    const auto session = reader.Reader().WS();
    const auto process = session->TransferReader()->TransientProcess();
    const auto model = opencascade::handle<StepData_StepModel>::DownCast(session->Model());
    for (int i = 1; i <= process->NbMapped(); ++i) {
        const auto& entity = process->Mapped(i);
        if (!bears_a_useful_name(entity)) continue;
        ShapeOrigin origin{static_cast<std::uint32_t>(std::max(0, model->IdentLabel(entity))),
                           name_of(entity), false, false};
        const TopoDS_Shape shape = TransferBRep::ShapeResult(process, entity);
        if (!shape.IsNull()) {
            origin.solid = entity->IsKind(STANDARD_TYPE(StepShape_SolidModel));
            origin.reversed = shape.Orientation() == TopAbs_REVERSED;
            out.origins.add(shape, std::move(origin));
        } else if (entity->IsKind(STANDARD_TYPE(StepShape_FaceSurface))) {
            out.not_translated.push_back(lost_face(process->MapItem(i), origin));
        }
    }
}

gp_Vec direction(const opencascade::handle<StepGeom_Direction>& axis, const gp_Vec& otherwise) {
    if (axis.IsNull() || axis->NbDirectionRatios() != 3) return otherwise;
    return {axis->DirectionRatiosValue(1), axis->DirectionRatiosValue(2),
            axis->DirectionRatiosValue(3)};
}

/// The kernel reads a transformation operator as a rigid move: it drops mirroring and scaling.
bool mirrors_or_scales(const StepGeom_CartesianTransformationOperator3d& move) {
    const gp_Vec x = direction(move.Axis1(), gp_Vec(1, 0, 0));
    const gp_Vec y = direction(move.Axis2(), gp_Vec(0, 1, 0));
    const gp_Vec z = direction(move.Axis3(), x.Crossed(y));
    return x.Crossed(y).Dot(z) < 0 || (move.HasScale() && move.Scale() != 1.0);
}

/// Faults that can move or drop geometry. Exporters often leave names blank where the standard
/// wants text, and styles and properties have no part in the shape.
bool is_harmful(const StepData_StepModel& model, int at) {
    if (!model.IsErrorEntity(at)) return false;
    const auto& entity = model.Value(at);
    if (std::string_view(entity->DynamicType()->Name()).starts_with("StepVisual_") ||
        entity->IsKind(STANDARD_TYPE(StepRepr_PropertyDefinition))) {
        return false;
    }
    const auto& check = model.Check(at, true);
    for (int i = 1; i <= check->NbFails(); ++i) {
        const std::string_view fail = check->CFail(i);
        if (fail.find("not a quoted String") == fail.npos) return true;
    }
    return check->NbFails() == 0;
}

const void* a_face_of(const TopoDS_Shape& shape) {
    if (shape.IsNull()) return nullptr;
    const TopExp_Explorer faces(shape, TopAbs_FACE);
    return faces.More() ? faces.Current().TShape().get() : nullptr;
}

/// Looks at every entity, also at those that the translation never reached.
void collect_losses(STEPCAFControl_Reader& reader, OcctDocument& out) {
    using opencascade::handle;
    using Operator = StepGeom_CartesianTransformationOperator3d;
    const auto session = reader.Reader().WS();
    const auto process = session->TransferReader()->TransientProcess();
    const auto model = handle<StepData_StepModel>::DownCast(session->Model());
    for (int i = 1; i <= model->NbEntities(); ++i) {
        const auto entity = model->Value(i);
        const auto number = static_cast<std::uint32_t>(std::max(0, model->IdentLabel(entity)));
        if (is_harmful(*model, i) && out.n_faulty++ == 0) out.first_faulty = number;
        const auto move = handle<Operator>::DownCast(entity);
        if (!move.IsNull() && mirrors_or_scales(*move)) out.lost_mirrors.push_back(number);
        if (entity->IsKind(STANDARD_TYPE(StepShape_SolidModel))) {
            out.solids.push_back(
                {number, name_of(entity), a_face_of(TransferBRep::ShapeResult(process, entity))});
        }
    }
}

}  // namespace

void ShapeOrigins::add(const TopoDS_Shape& shape, ShapeOrigin origin) {
    // A shell that carries the name of its model is kept; a later blank name does not hide it.
    auto& known = by_shape_[shape.TShape().get()];
    origin.solid = origin.solid || known.solid;
    if (known.step_entity != 0) known.solid = origin.solid;
    if (known.step_entity == 0 || (known.name.empty() && !origin.name.empty())) {
        known = std::move(origin);
    }
}

const ShapeOrigin& ShapeOrigins::of(const TopoDS_Shape& shape) const {
    static const ShapeOrigin unknown;
    const auto found = by_shape_.find(shape.TShape().get());
    return found == by_shape_.end() ? unknown : found->second;
}

OcctDocument load_document(const std::string& file, bool utf8, OcctSession& session) {
    session.set("xstep.cascade.unit", "M");
    session.set("read.step.codepage", utf8 ? "UTF8" : "iso8859-1");
    OcctDocument out;
    STEPCAFControl_Reader reader;
    reader.SetNameMode(true);
    reader.SetColorMode(true);
    // What the program has no use for costs time and can fail on its own.
    reader.SetLayerMode(false);
    reader.SetPropsMode(false);
    reader.SetGDTMode(false);
    reader.SetMatMode(false);
    reader.SetViewMode(false);
    const auto because = [&] {
        const std::string failure = session.first_failure();
        return failure.empty() ? std::string{} : ": " + failure;
    };
    if (reader.ReadFile(file.c_str()) != IFSelect_RetDone) {
        refuse(file, "a STEP file without syntax errors",
               "one that the CAD kernel cannot parse" + because());
    }
    out.document = new TDocStd_Document("BinXCAF");
    XCAFDoc_DocumentTool::SetLengthUnit(out.document, 1.0);
    if (reader.NbRootsForTransfer() == 0 || !reader.Transfer(out.document)) {
        refuse(file, "at least one solid or shell", "no part that could be translated" + because());
    }
    restore_names(reader, *out.document);
    out.length_units = length_units_of(
        *opencascade::handle<StepData_StepModel>::DownCast(reader.Reader().WS()->Model()));
    collect_origins(reader, out);
    collect_losses(reader, out);
    return out;
}

}  // namespace noonshell
