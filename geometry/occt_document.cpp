#include "geometry/occt_document.hpp"

#include <Interface_Check.hxx>
#include <STEPCAFControl_Reader.hxx>
#include <StepBasic_Product.hxx>
#include <StepBasic_ProductDefinition.hxx>
#include <StepBasic_ProductDefinitionFormation.hxx>
#include <StepData_StepModel.hxx>
#include <StepData_UndefinedEntity.hxx>
#include <StepRepr_PropertyDefinition.hxx>
#include <StepRepr_RepresentationItem.hxx>
#include <StepShape_ClosedShell.hxx>
#include <StepShape_ConnectedFaceSet.hxx>
#include <StepShape_FaceSurface.hxx>
#include <StepShape_ShellBasedSurfaceModel.hxx>
#include <StepShape_SolidModel.hxx>
#include <TCollection_HAsciiString.hxx>
#include <TDF_Label.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS_Shape.hxx>
#include <TransferBRep.hxx>
#include <Transfer_Binder.hxx>
#include <Transfer_TransientProcess.hxx>
#include <XCAFDoc_DataMapOfShapeLabel.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XSControl_TransferReader.hxx>
#include <XSControl_WorkSession.hxx>
#include <algorithm>
#include <filesystem>
#include <sstream>
#include <string_view>

#include "geometry/child_process.hpp"
#include "geometry/occt_names.hpp"
#include "geometry/occt_odd_entries.hpp"
#include "geometry/occt_text.hpp"
#include "geometry/reading_stage.hpp"
#include "geometry/step_prescan.hpp"

namespace noonshell {

namespace {

using opencascade::handle;

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

LeftOut lost_face(const handle<Transfer_Binder>& binder, const ShapeOrigin& origin) {
    std::string reason = "the CAD kernel could not translate this face";
    if (!binder.IsNull() && binder->Check()->NbFails() > 0) {
        reason += ": " + one_line(binder->Check()->CFail(1));
    }
    return {.entity = "#" + std::to_string(origin.step_entity),
            .name = origin.name,
            .reason = std::move(reason),
            .area_known = false};
}

const void* a_face_of(const TopoDS_Shape& shape) {
    if (shape.IsNull()) return nullptr;
    const TopExp_Explorer faces(shape, TopAbs_FACE);
    return faces.More() ? faces.Current().TShape().get() : nullptr;
}

/// The kernel may make several shapes of one entity; each of them comes from it.
void add_pieces(const handle<Standard_Transient>& entity, const TopoDS_Shape& shape,
                const ShapeOrigin& origin, ShapeOrigins& origins) {
    const bool face = entity->IsKind(STANDARD_TYPE(StepShape_FaceSurface));
    const bool solid = entity->IsKind(STANDARD_TYPE(StepShape_SolidModel));
    const TopAbs_ShapeEnum kind = face ? TopAbs_FACE : TopAbs_SOLID;
    if ((!face && !solid) || shape.ShapeType() >= kind) return;
    int n = 0;
    for (TopExp_Explorer it(shape, kind); it.More(); it.Next(), ++n) {
        ShapeOrigin of_piece = origin;
        of_piece.reversed = it.Current().Orientation() == TopAbs_REVERSED;
        origins.add(it.Current(), std::move(of_piece));
    }
    if (face && n > 1) origins.in_pieces.insert(origin.step_entity);
}

void collect_origins(STEPCAFControl_Reader& reader, OcctDocument& out) {
    const auto session = reader.Reader().WS();
    const auto process = session->TransferReader()->TransientProcess();
    const auto model = opencascade::handle<StepData_StepModel>::DownCast(session->Model());
    for (int i = 1; i <= process->NbMapped(); ++i) {
        const auto& entity = process->Mapped(i);
        if (entity.IsNull() || !bears_a_useful_name(entity)) continue;
        ShapeOrigin origin{static_cast<std::uint32_t>(std::max(0, model->IdentLabel(entity))),
                           name_of(entity), false, false};
        const TopoDS_Shape shape = TransferBRep::ShapeResult(process, entity);
        if (!shape.IsNull()) {
            origin.solid = entity->IsKind(STANDARD_TYPE(StepShape_SolidModel));
            if (entity->IsKind(STANDARD_TYPE(StepShape_FaceSurface))) {
                out.face_shapes[origin.step_entity] = a_face_of(shape);
            }
            origin.reversed = shape.Orientation() == TopAbs_REVERSED;
            add_pieces(entity, shape, origin, out.origins);
            out.origins.add(shape, std::move(origin));
        } else if (entity->IsKind(STANDARD_TYPE(StepShape_FaceSurface))) {
            out.not_translated.push_back(lost_face(process->MapItem(i), origin));
        }
    }
}

/// Styles and properties have no part in the shape.
bool has_part_in_the_shape(const Standard_Transient& entity) {
    return !std::string_view(entity.DynamicType()->Name()).starts_with("StepVisual_") &&
           !entity.IsKind(STANDARD_TYPE(StepRepr_PropertyDefinition));
}

/// Exporters often leave names blank where the standard wants text. Where the file is
/// `tessellated`, the kernel takes offence at links to representations that it does not know.
bool is_faulty(const StepData_StepModel& model, int at, bool tessellated) {
    if (!model.IsErrorEntity(at)) return false;
    const auto& check = model.Check(at, true);
    for (int i = 1; i <= check->NbFails(); ++i) {
        const std::string_view fail = check->CFail(i);
        const bool link = tessellated && fail.find("illegal type") != fail.npos;
        if (!link && fail.find("not a quoted String") == fail.npos) return true;
    }
    return check->NbFails() == 0;
}

/// The kernel opens the files that this one names where they stand beside it; one that never ends
/// would never let go of it.
void check_other_files(const std::string& file, const FileSurvey& found) {
    for (const std::string& name : found.other_files) {
        std::error_code trouble;
        const auto other = std::filesystem::path(file).parent_path() / name;
        const auto status = std::filesystem::status(other, trouble);
        if (!std::filesystem::exists(status) || std::filesystem::is_regular_file(status)) continue;
        refuse(file, "references to regular files", name + ", which is none");
    }
}

/// What the kernel says against an entity, without the marks it begins with.
std::string complaint_about(const StepData_StepModel& model, int at) {
    const auto& check = model.Check(at, true);
    return check->NbFails() > 0 ? one_line(check->CFail(1)) : std::string{};
}

/// Of the product that a definition belongs to, else its id; empty where its records are missing.
std::string product_name(const StepBasic_ProductDefinition& definition) {
    const auto formation = definition.Formation();
    if (formation.IsNull() || formation->OfProduct().IsNull()) return {};
    const auto product = formation->OfProduct();
    for (const auto& text : {product->Name(), product->Id()}) {
        if (text.IsNull()) continue;
        std::string name = one_line(text->ToCString());
        if (!is_filler_name(name)) return name;
    }
    return {};
}

void add_name(std::uint32_t entity, const std::string& name, OcctDocument& out) {
    if (!name.empty()) out.names.try_emplace(entity, name);
}

void add_shell(const StepData_StepModel& model, std::uint32_t shell, int at, OcctDocument& out) {
    const auto set = handle<StepShape_ConnectedFaceSet>::DownCast(model.Value(at));
    if (set->CfsFaces().IsNull()) return;
    for (const auto& face : *set->CfsFaces()) {
        const int number = face.IsNull() ? 0 : model.IdentLabel(face);
        if (number > 0) out.closed_shell_of.try_emplace(static_cast<std::uint32_t>(number), shell);
    }
}

/// Looks at every entity, also at those that the translation never reached.
void collect_losses(STEPCAFControl_Reader& reader, bool tessellated, OcctDocument& out) {
    const auto session = reader.Reader().WS();
    const auto process = session->TransferReader()->TransientProcess();
    const auto model = handle<StepData_StepModel>::DownCast(session->Model());
    for (int i = 1; i <= model->NbEntities(); ++i) {
        const auto entity = model->Value(i);
        const auto number = static_cast<std::uint32_t>(std::max(0, model->IdentLabel(entity)));
        const bool faulty = is_faulty(*model, i, tessellated);
        out.any_error = out.any_error || faulty;
        if (faulty && has_part_in_the_shape(*entity)) {
            out.faulty.push_back({number, complaint_about(*model, i)});
        } else if (entity->IsKind(STANDARD_TYPE(StepData_UndefinedEntity))) {
            out.unknown_types.push_back(number);
        }
        if (entity->IsKind(STANDARD_TYPE(StepShape_FaceSurface))) out.faces.push_back(number);
        if (entity->IsKind(STANDARD_TYPE(StepShape_ClosedShell))) add_shell(*model, number, i, out);
        if (bears_a_useful_name(entity)) add_name(number, name_of(entity), out);
        if (const auto part = handle<StepBasic_ProductDefinition>::DownCast(entity);
            !part.IsNull()) {
            add_name(number, product_name(*part), out);
        }
        if (entity->IsKind(STANDARD_TYPE(StepShape_SolidModel))) {
            out.solids.push_back(
                {number, name_of(entity), a_face_of(TransferBRep::ShapeResult(process, entity))});
        }
    }
    out.n_faulty = static_cast<std::uint32_t>(out.faulty.size());
    if (out.n_faulty > 0) out.first_faulty = out.faulty.front().step_entity;
}

/// Which label of the document stands for which product_definition.
void collect_definitions(STEPCAFControl_Reader& reader, OcctDocument& out) {
    const auto session = reader.Reader().WS();
    const auto process = session->TransferReader()->TransientProcess();
    const auto model = handle<StepData_StepModel>::DownCast(session->Model());
    const auto& labels = reader.GetShapeLabelMap();
    for (int i = 1; i <= process->NbMapped(); ++i) {
        const auto part = handle<StepBasic_ProductDefinition>::DownCast(process->Mapped(i));
        if (part.IsNull()) continue;
        const TopoDS_Shape shape = TransferBRep::ShapeResult(process, part);
        if (shape.IsNull() || !labels.IsBound(shape)) continue;
        out.definition_of_label[labels.Find(shape).Tag()] =
            static_cast<std::uint32_t>(std::max(0, model->IdentLabel(part)));
    }
}

IFSelect_ReturnStatus parse(STEPCAFControl_Reader& reader, const std::string& file,
                            const std::string* text) {
    if (text == nullptr) return reader.ReadFile(file.c_str());
    std::istringstream stream(*text);
    return reader.ChangeReader().ReadStream(file.c_str(), stream);
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

OcctDocument load_document(const std::string& file, const LoadOptions& options,
                           OcctSession& session) {
    session.set("xstep.cascade.unit", "M");
    session.set("read.step.codepage", options.utf8 ? "UTF8" : "iso8859-1");
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
        return (memory_was_short() ? ", perhaps short of memory" : "") +
               (failure.empty() ? std::string{} : ": " + failure);
    };
    now_at("while parsing the file");
    if (parse(reader, file, options.text) != IFSelect_RetDone) {
        refuse(file, "a STEP file without syntax errors",
               "one that the CAD kernel cannot parse" + because());
    }
    const auto work = reader.Reader().WS();
    const auto model = handle<StepData_StepModel>::DownCast(work->Model());
    out.survey = survey(*model, file);
    check_other_files(file, out.survey);
    FileLengthUnits lengths = length_units_of(*model, file);
    out.length_units = std::move(lengths.units);
    out.contexts_without_unit = std::move(lengths.contexts_without);
    reader.SetSHUOMode(out.survey.styles_by_occurrence);
    out.document = new TDocStd_Document("BinXCAF");
    XCAFDoc_DocumentTool::SetLengthUnit(out.document, 1.0);
    now_translating(work.get());
    const bool translated = reader.NbRootsForTransfer() > 0 && reader.Transfer(out.document);
    now_at("after the translation");
    if (!translated && !options.may_be_empty) {
        refuse(file, "at least one solid or shell", "no part that could be translated" + because());
    }
    out.file_text = [file, text = options.text] {
        return text == nullptr ? read_step_text(file) : *text;
    };
    if (!translated) return out;
    restore_names(reader, *out.document);
    out.operators = find_operator_placements(reader, *out.document);
    out.mapped_names = MappedNames::find(reader);
    collect_origins(reader, out);
    collect_definitions(reader, out);
    collect_losses(reader, options.may_be_empty, out);
    for (LeftOut& entry : odd_shell_entries(*model, out.file_text)) {
        out.not_translated.push_back(std::move(entry));
    }
    return out;
}

}  // namespace noonshell
