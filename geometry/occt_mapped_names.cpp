#include "geometry/occt_mapped_names.hpp"

#include <Interface_EntityIterator.hxx>
#include <Interface_Graph.hxx>
#include <STEPCAFControl_Reader.hxx>
#include <StepBasic_Product.hxx>
#include <StepBasic_ProductDefinition.hxx>
#include <StepBasic_ProductDefinitionFormation.hxx>
#include <StepData_StepModel.hxx>
#include <StepRepr_MappedItem.hxx>
#include <StepRepr_PropertyDefinition.hxx>
#include <StepRepr_Representation.hxx>
#include <StepRepr_RepresentationMap.hxx>
#include <StepShape_ShapeDefinitionRepresentation.hxx>
#include <TCollection_HAsciiString.hxx>
#include <TopExp_Explorer.hxx>
#include <TransferBRep.hxx>
#include <Transfer_TransientProcess.hxx>
#include <XSControl_TransferReader.hxx>
#include <XSControl_WorkSession.hxx>

#include "geometry/occt_text.hpp"

namespace noonshell {

namespace {

using opencascade::handle;

std::string useful(const handle<TCollection_HAsciiString>& name) {
    if (name.IsNull()) return {};
    std::string text = one_line(name->ToCString());
    return is_filler_name(text) ? std::string{} : text;
}

/// The product whose shape a representation is.
std::string product_of(const Interface_Graph& graph,
                       const handle<StepRepr_Representation>& representation) {
    Interface_EntityIterator users = graph.Sharings(representation);
    for (users.Start(); users.More(); users.Next()) {
        const auto shape = handle<StepShape_ShapeDefinitionRepresentation>::DownCast(users.Value());
        if (shape.IsNull()) continue;
        const auto property = shape->Definition().PropertyDefinition();
        if (property.IsNull()) continue;
        const auto part = property->Definition().ProductDefinition();
        if (part.IsNull() || part->Formation().IsNull() || part->Formation()->OfProduct().IsNull())
            continue;
        if (std::string name = useful(part->Formation()->OfProduct()->Name()); !name.empty())
            return name;
    }
    return {};
}

std::string name_of_item(const Interface_Graph& graph, const StepRepr_MappedItem& item) {
    if (std::string own = useful(item.Name()); !own.empty()) return own;
    if (item.MappingSource().IsNull()) return {};
    const auto mapped = item.MappingSource()->MappedRepresentation();
    if (mapped.IsNull()) return {};
    std::string product = product_of(graph, mapped);
    return product.empty() ? useful(mapped->Name()) : product;
}

}  // namespace

MappedNames MappedNames::find(const STEPCAFControl_Reader& reader) {
    MappedNames names;
    const auto session = reader.Reader().WS();
    const auto process = session->TransferReader()->TransientProcess();
    const auto model = handle<StepData_StepModel>::DownCast(session->Model());
    for (int i = 1; i <= model->NbEntities(); ++i) {
        const auto item = handle<StepRepr_MappedItem>::DownCast(model->Value(i));
        if (item.IsNull()) continue;
        const std::string name = name_of_item(session->Graph(), *item);
        const TopoDS_Shape shape = TransferBRep::ShapeResult(process, item);
        if (name.empty() || shape.IsNull()) continue;
        int n_solids = 0;
        for (TopExp_Explorer it(shape, TopAbs_SOLID); it.More(); it.Next()) ++n_solids;
        for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next())
            names.by_face_.Bind(it.Current(), {name, n_solids > 1});
    }
    return names;
}

std::string MappedNames::of(const TopoDS_Shape& group, const std::string& own_name) const {
    if (by_face_.IsEmpty()) return own_name;
    const TopExp_Explorer first(group, TopAbs_FACE);
    const ItemName* item = first.More() ? by_face_.Seek(first.Current()) : nullptr;
    return item == nullptr || (item->of_several && !own_name.empty()) ? own_name : item->name;
}

}  // namespace noonshell
