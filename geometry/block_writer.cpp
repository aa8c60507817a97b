#include "geometry/block_writer.hpp"

#include <APIHeaderSection_MakeHeader.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <Quantity_Color.hxx>
#include <STEPCAFControl_Writer.hxx>
#include <Standard_Failure.hxx>
#include <StepBasic_CalendarDate.hxx>
#include <StepBasic_CoordinatedUniversalTimeOffset.hxx>
#include <StepBasic_LocalTime.hxx>
#include <StepBasic_Organization.hxx>
#include <StepBasic_Person.hxx>
#include <StepData_Protocol.hxx>
#include <StepData_StepModel.hxx>
#include <StepData_StepWriter.hxx>
#include <StepRepr_NextAssemblyUsageOccurrence.hxx>
#include <StepVisual_MechanicalDesignGeometricPresentationRepresentation.hxx>
#include <StepVisual_StyledItem.hxx>
#include <TCollection_HAsciiString.hxx>
#include <TDataStd_Name.hxx>
#include <TDocStd_Document.hxx>
#include <XCAFDoc_ColorTool.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <fstream>
#include <map>
#include <numbers>
#include <sstream>
#include <stdexcept>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "geometry/occt_session.hpp"
#include "geometry/occt_text.hpp"

namespace noonshell {

namespace {

/// The kernel's shapes are made in millimetres, its own unit, and converted as they are written.
constexpr double mm_per_m = 1000.0;

opencascade::handle<TCollection_HAsciiString> text(const char* value) {
    return new TCollection_HAsciiString(value);
}

gp_Trsf placement_of(const Block& block) {
    const gp_Vec corner(block.corner_m.x() * mm_per_m, block.corner_m.y() * mm_per_m,
                        block.corner_m.z() * mm_per_m);
    gp_Trsf move, turn, tilt;
    move.SetTranslation(corner);
    turn.SetRotation(gp::OZ(), block.turn_deg * std::numbers::pi / 180.0);
    tilt.SetRotation(gp::OX(), block.tilt_deg * std::numbers::pi / 180.0);
    return move * turn * tilt;
}

void check_block(const Block& block) {
    const bool sound = block.size_m.allFinite() && block.size_m.minCoeff() > 0 &&
                       block.corner_m.allFinite() && std::isfinite(block.turn_deg) &&
                       std::isfinite(block.tilt_deg);
    if (sound) return;
    std::ostringstream seen;
    seen << "size " << block.size_m.transpose() << ", corner " << block.corner_m.transpose()
         << ", turn " << block.turn_deg << ", tilt " << block.tilt_deg;
    throw InputError({.file = {}, .line = {}, .column = {}, .entity = "block " + block.name},
                     "a block of three sizes above 0 and finite placement", seen.str());
}

/// Root assembly, sub-assemblies in order of first mention, one part and one occurrence per block.
class BlockDocument {
  public:
    explicit BlockDocument(const std::string& root_name)
        : document_(new TDocStd_Document("BinXCAF")),
          shapes_(XCAFDoc_DocumentTool::ShapeTool(document_->Main())),
          colours_(XCAFDoc_DocumentTool::ColorTool(document_->Main())),
          root_(shapes_->NewShape()) {
        name(root_, root_name);
    }

    void add(const Block& block) {
        const TopoDS_Shape box =
            BRepPrimAPI_MakeBox(block.size_m.x() * mm_per_m, block.size_m.y() * mm_per_m,
                                block.size_m.z() * mm_per_m)
                .Solid();
        const TDF_Label part = shapes_->AddShape(box, false);
        name(part, block.name);
        if (block.colour) {
            const auto& [red, green, blue] = *block.colour;
            colours_->SetColor(part, Quantity_Color(red, green, blue, Quantity_TOC_sRGB),
                               XCAFDoc_ColorSurf);
        }
        const TDF_Label occurrence =
            shapes_->AddComponent(holder_of(block), part, TopLoc_Location(placement_of(block)));
        name(occurrence, block.name);
    }

    opencascade::handle<TDocStd_Document> finish() {
        shapes_->UpdateAssemblies();
        return document_;
    }

  private:
    static void name(const TDF_Label& label, const std::string& value) {
        TDataStd_Name::Set(label, from_utf8(value));
    }

    TDF_Label holder_of(const Block& block) {
        if (block.assembly.empty()) return root_;
        const auto found = assemblies_.find(block.assembly);
        if (found != assemblies_.end()) return found->second;
        const TDF_Label assembly = shapes_->NewShape();
        name(assembly, block.assembly);
        name(shapes_->AddComponent(root_, assembly, TopLoc_Location()), block.assembly);
        return assemblies_.emplace(block.assembly, assembly).first->second;
    }

    opencascade::handle<TDocStd_Document> document_;
    opencascade::handle<XCAFDoc_ShapeTool> shapes_;
    opencascade::handle<XCAFDoc_ColorTool> colours_;
    TDF_Label root_;
    std::map<std::string, TDF_Label> assemblies_;
};

const char* schema_value(StepSchema schema) {
    switch (schema) {
        case StepSchema::ap203:
            return "AP203";
        case StepSchema::ap242:
            return "AP242DIS";
        case StepSchema::ap214:
            break;
    }
    return "AP214IS";
}

const char* unit_value(LengthUnit unit) {
    switch (unit) {
        case LengthUnit::metre:
            return "M";
        case LengthUnit::inch:
            return "INCH";
        case LengthUnit::millimetre:
            break;
    }
    return "MM";
}

/// The kernel puts the clock, the user's login name and running numbers into the file.
void fix_what_varies(const opencascade::handle<StepData_StepModel>& model) {
    int occurrences = 0;
    for (int i = 1; i <= model->NbEntities(); ++i) {
        const auto entity = model->Value(i);
        using opencascade::handle;
        if (auto person = handle<StepBasic_Person>::DownCast(entity); !person.IsNull()) {
            person->SetId(text("0"));
            person->SetLastName(text("unknown"));
            person->UnSetFirstName();
            person->UnSetMiddleNames();
        } else if (auto body = handle<StepBasic_Organization>::DownCast(entity); !body.IsNull()) {
            body->SetId(text("0"));
            body->SetName(text("unknown"));
        } else if (auto date = handle<StepBasic_CalendarDate>::DownCast(entity); !date.IsNull()) {
            date->SetYearComponent(2000);
            date->SetMonthComponent(1);
            date->SetDayComponent(1);
        } else if (auto time = handle<StepBasic_LocalTime>::DownCast(entity); !time.IsNull()) {
            time->SetHourComponent(0);
            time->SetMinuteComponent(0);
            time->SetSecondComponent(0);
            time->Zone()->Init(0, false, 0, StepBasic_aobExact);
        } else if (auto use = handle<StepRepr_NextAssemblyUsageOccurrence>::DownCast(entity);
                   !use.IsNull()) {
            use->SetId(text(std::to_string(++occurrences).c_str()));
        }
    }
}

/// The kernel adds colours in the order of its shapes' addresses: put them in the order of the
/// shapes.
void sort_colours(const opencascade::handle<StepData_StepModel>& model) {
    using Presentation = StepVisual_MechanicalDesignGeometricPresentationRepresentation;
    std::vector<opencascade::handle<Standard_Transient>> entities;
    std::map<int, opencascade::handle<Standard_Transient>> coloured;  // by number of the shape
    std::size_t before_colours = 0;
    for (int i = 1; i <= model->NbEntities(); ++i) {
        entities.push_back(model->Value(i));
        const auto colour = opencascade::handle<Presentation>::DownCast(entities.back());
        if (colour.IsNull() || colour->NbItems() == 0) continue;
        if (coloured.empty()) before_colours = entities.size() - 1;
        const auto styled =
            opencascade::handle<StepVisual_StyledItem>::DownCast(colour->ItemsValue(1));
        if (!styled.IsNull()) coloured[model->Number(styled->Item())] = colour;
    }
    if (coloured.empty()) return;
    model->ClearEntities();
    for (std::size_t i = 0; i < before_colours; ++i) model->AddEntity(entities[i]);
    for (const auto& [shape, colour] : coloured) model->AddWithRefs(colour, model->Protocol());
    for (const auto& entity : entities) {
        if (!model->Contains(entity)) model->AddEntity(entity);
    }
}

void fix_header(const opencascade::handle<StepData_StepModel>& model, const std::string& name) {
    APIHeaderSection_MakeHeader header(model);
    header.SetName(text(name.c_str()));
    header.SetTimeStamp(text("2000-01-01T00:00:00"));
    header.SetAuthorValue(1, text(""));
    header.SetOrganizationValue(1, text(""));
    header.SetPreprocessorVersion(text("noonshell"));
    header.SetOriginatingSystem(text("noonshell"));
    header.SetAuthorisation(text(""));
    header.SetDescriptionValue(1, text(""));
}

std::string printed(const opencascade::handle<StepData_StepModel>& model) {
    StepData_StepWriter printer(model);
    printer.SendModel(opencascade::handle<StepData_Protocol>::DownCast(model->Protocol()));
    std::ostringstream out;
    printer.Print(out);
    return out.str();
}

void write_text(const std::string& content, const std::filesystem::path& file) {
    std::ofstream out(file, std::ios::binary | std::ios::trunc);
    out << content;
    out.close();
    if (!out) throw std::runtime_error(file.string() + ": cannot be written");
}

}  // namespace

void write_blocks(const std::vector<Block>& blocks, const std::filesystem::path& file,
                  const BlockWriteOptions& options) {
    for (const Block& block : blocks) check_block(block);
    const std::lock_guard lock(kernel_mutex());
    OcctSession session;
    session.set("xstep.cascade.unit", "MM");
    session.set("write.step.schema", schema_value(options.schema));
    session.set("write.step.unit", unit_value(options.unit));
    try {
        BlockDocument document(options.root_name);
        for (const Block& block : blocks) document.add(block);
        STEPCAFControl_Writer writer;
        writer.SetColorMode(true);
        writer.SetNameMode(true);
        if (!writer.Transfer(document.finish(), STEPControl_AsIs)) {
            throw std::runtime_error(file.string() +
                                     ": the CAD kernel could not translate the blocks");
        }
        const auto model = writer.ChangeWriter().Model();
        sort_colours(model);
        fix_what_varies(model);
        fix_header(model, options.root_name);
        write_text(with_step_escapes(printed(model)), file);
    } catch (const Standard_Failure& failure) {
        throw std::runtime_error(
            file.string() + ": the CAD kernel failed: " + one_line(failure.GetMessageString()));
    }
}

}  // namespace noonshell
