#include "tests/support/cad_document.hpp"

#include <STEPCAFControl_Writer.hxx>
#include <StepData_Protocol.hxx>
#include <StepData_StepModel.hxx>
#include <StepData_StepWriter.hxx>
#include <TDataStd_Name.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <fstream>
#include <mutex>
#include <sstream>
#include <stdexcept>

#include "geometry/occt_session.hpp"
#include "geometry/occt_text.hpp"

namespace noonshell::test_support {

namespace {

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

}  // namespace

CadDocument::CadDocument()
    : document_(new TDocStd_Document("BinXCAF")),
      shapes_(XCAFDoc_DocumentTool::ShapeTool(document_->Main())) {}

TDF_Label CadDocument::part(const TopoDS_Shape& shape, const std::string& name) {
    const TDF_Label label = shapes_->AddShape(shape, false);
    TDataStd_Name::Set(label, from_utf8(name));
    return label;
}

TDF_Label CadDocument::assembly(const std::string& name) {
    const TDF_Label label = shapes_->NewShape();
    TDataStd_Name::Set(label, from_utf8(name));
    return label;
}

void CadDocument::place(const TDF_Label& into, const TDF_Label& what, const gp_Trsf& where,
                        const std::string& name) {
    TDataStd_Name::Set(shapes_->AddComponent(into, what, TopLoc_Location(where)), from_utf8(name));
}

void CadDocument::write(const std::filesystem::path& file, LengthUnit unit) {
    const std::lock_guard lock(kernel_mutex());
    OcctSession session;
    session.set("xstep.cascade.unit", "MM");
    session.set("write.step.schema", "AP214IS");
    session.set("write.step.unit", unit_value(unit));
    shapes_->UpdateAssemblies();
    STEPCAFControl_Writer writer;  // takes the settings when it is made
    // Plain edges, as most CAD programs write them; the setting outlives the session.
    session.set("write.surfacecurve.mode", "0");
    const bool translated = writer.Transfer(document_, STEPControl_AsIs);
    session.set("write.surfacecurve.mode", "1");
    if (!translated) {
        throw std::runtime_error(file.string() + ": the CAD kernel cannot translate the shapes");
    }
    const auto model = writer.ChangeWriter().Model();
    StepData_StepWriter printer(model);
    printer.SendModel(opencascade::handle<StepData_Protocol>::DownCast(model->Protocol()));
    std::ostringstream text;
    printer.Print(text);
    std::ofstream out(file, std::ios::binary | std::ios::trunc);
    out << with_step_escapes(text.str());
    out.close();
    if (!out) throw std::runtime_error(file.string() + ": cannot be written");
}

}  // namespace noonshell::test_support
