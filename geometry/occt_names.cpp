#include "geometry/occt_names.hpp"

#include <STEPCAFControl_Reader.hxx>
#include <STEPConstruct_Tool.hxx>
#include <StepBasic_Product.hxx>
#include <StepBasic_ProductDefinition.hxx>
#include <StepBasic_ProductDefinitionFormation.hxx>
#include <StepRepr_NextAssemblyUsageOccurrence.hxx>
#include <TCollection_HAsciiString.hxx>
#include <TDF_Label.hxx>
#include <TDataStd_Name.hxx>
#include <TDocStd_Document.hxx>
#include <TransferBRep.hxx>
#include <Transfer_TransientProcess.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <XSControl_TransferReader.hxx>
#include <XSControl_WorkSession.hxx>
#include <algorithm>
#include <string>

#include "geometry/occt_text.hpp"

namespace noonshell {

namespace {

using opencascade::handle;

/// The text when it is of the kind that the kernel passes over, else nothing.
std::string passed_over(const handle<TCollection_HAsciiString>& name) {
    if (name.IsNull()) return {};
    std::string text = one_line(name->ToCString());
    const bool ascii = std::ranges::any_of(text, [](char c) { return c > ' ' && c < '\x7F'; });
    return ascii ? std::string{} : text;
}

handle<TCollection_HAsciiString> product_name_of(const StepBasic_ProductDefinition& definition) {
    const auto formation = definition.Formation();
    if (formation.IsNull() || formation->OfProduct().IsNull()) return nullptr;
    return formation->OfProduct()->Name();
}

void set_name(const TDF_Label& label, const std::string& name) {
    if (!label.IsNull()) TDataStd_Name::Set(label, from_utf8(name));
}

}  // namespace

void restore_names(const STEPCAFControl_Reader& reader, const TDocStd_Document& document) {
    const auto session = reader.Reader().WS();
    const auto process = session->TransferReader()->TransientProcess();
    const auto shapes = XCAFDoc_DocumentTool::ShapeTool(document.Main());
    const STEPConstruct_Tool tool(session);
    const auto& labels = reader.GetShapeLabelMap();
    for (int i = 1; i <= process->NbMapped(); ++i) {
        const auto& entity = process->Mapped(i);
        if (const auto part = handle<StepBasic_ProductDefinition>::DownCast(entity);
            !part.IsNull()) {
            const std::string name = passed_over(product_name_of(*part));
            const TopoDS_Shape shape = TransferBRep::ShapeResult(process, part);
            if (!name.empty() && labels.IsBound(shape)) set_name(labels.Find(shape), name);
        }
        if (const auto use = handle<StepRepr_NextAssemblyUsageOccurrence>::DownCast(entity);
            !use.IsNull()) {
            const std::string name = passed_over(use->Name());
            if (name.empty()) continue;
            set_name(STEPCAFControl_Reader::FindInstance(use, shapes, tool, labels), name);
        }
    }
}

}  // namespace noonshell
