#include "geometry/occt_operators.hpp"

#include <Eigen/Geometry>
#include <Interface_Graph.hxx>
#include <STEPCAFControl_Reader.hxx>
#include <STEPConstruct_Assembly.hxx>
#include <STEPConstruct_Tool.hxx>
#include <StepData_StepModel.hxx>
#include <StepGeom_Axis2Placement3d.hxx>
#include <StepGeom_CartesianPoint.hxx>
#include <StepGeom_CartesianTransformationOperator3d.hxx>
#include <StepGeom_Direction.hxx>
#include <StepRepr_MappedItem.hxx>
#include <StepRepr_NextAssemblyUsageOccurrence.hxx>
#include <StepRepr_ProductDefinitionShape.hxx>
#include <StepRepr_RepresentationMap.hxx>
#include <StepRepr_ShapeRepresentationRelationshipWithTransformation.hxx>
#include <StepRepr_Transformation.hxx>
#include <StepShape_ContextDependentShapeRepresentation.hxx>
#include <TDF_LabelSequence.hxx>
#include <TDocStd_Document.hxx>
#include <TopExp_Explorer.hxx>
#include <TransferBRep.hxx>
#include <Transfer_TransientProcess.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <XSControl_TransferReader.hxx>
#include <XSControl_WorkSession.hxx>
#include <algorithm>
#include <set>

#include "geometry/vec3.hpp"

namespace noonshell {

namespace {

using opencascade::handle;
using Operator = StepGeom_CartesianTransformationOperator3d;

Vec3 direction(const handle<StepGeom_Direction>& axis, const Vec3& otherwise) {
    if (axis.IsNull() || axis->NbDirectionRatios() != 3) return otherwise;
    const Vec3 v(axis->DirectionRatiosValue(1), axis->DirectionRatiosValue(2),
                 axis->DirectionRatiosValue(3));
    const double length = v.norm();
    return length > 0 && std::isfinite(length) ? Vec3(v / length) : otherwise;
}

/// `wish` made square to `z`; an axis of the file's own where the two are parallel.
Vec3 square_to(const Vec3& z, const Vec3& wish) {
    for (const Vec3& v : {wish, Vec3(Vec3::UnitX()), Vec3(Vec3::UnitY())}) {
        const Vec3 flat = v - v.dot(z) * z;
        if (flat.norm() > 1e-9) return flat.normalized();
    }
    return Vec3::UnitX();
}

/// The operator without its translation: scale times its three axes, as columns.
Eigen::Matrix3d linear_part(const Operator& move) {
    const Vec3 z = direction(move.Axis3(), Vec3::UnitZ());
    const Vec3 x = square_to(z, direction(move.Axis1(), Vec3::UnitX()));
    const Vec3 side = direction(move.Axis2(), Vec3::UnitY());
    Vec3 y = z.cross(x);
    if (side.dot(y) < 0) y = -y;
    Eigen::Matrix3d axes;
    axes << x, y, z;
    return (move.HasScale() ? move.Scale() : 1.0) * axes;
}

bool mirrors_or_scales(const Operator& move) {
    return std::abs(linear_part(move).determinant() - 1) > 1e-9;
}

gp_Trsf transformation(const Eigen::Matrix3d& a, const gp_XYZ& t) {
    gp_Trsf out;
    out.SetValues(a(0, 0), a(0, 1), a(0, 2), t.X(), a(1, 0), a(1, 1), a(1, 2), t.Y(), a(2, 0),
                  a(2, 1), a(2, 2), t.Z());
    return out;
}

/// The operator's full placement. The kernel's rigid one gives the translation, in the kernel's
/// own length unit.
gp_Trsf full_placement(const Operator& move, const gp_Trsf& rigid, bool inverted) {
    const gp_Trsf forward = inverted ? rigid.Inverted() : rigid;
    const gp_Trsf full = transformation(linear_part(move), forward.TranslationPart());
    return inverted ? full.Inverted() : full;
}

/// A scale of nothing, or beyond any sense, cannot be placed.
bool is_usable(const Operator& move) {
    const double scale = move.HasScale() ? move.Scale() : 1.0;
    return std::abs(scale) > 1e-6 && std::abs(scale) < 1e6;
}

handle<Operator> operator_of(const StepShape_ContextDependentShapeRepresentation& use) {
    const auto relation =
        handle<StepRepr_ShapeRepresentationRelationshipWithTransformation>::DownCast(
            use.RepresentationRelation());
    if (relation.IsNull()) return nullptr;
    return handle<Operator>::DownCast(relation->TransformationOperator().Value());
}

handle<StepRepr_NextAssemblyUsageOccurrence> occurrence_of(
    const StepShape_ContextDependentShapeRepresentation& use) {
    const auto shape = use.RepresentedProductRelation();
    if (shape.IsNull()) return nullptr;
    return handle<StepRepr_NextAssemblyUsageOccurrence>::DownCast(
        shape->Definition().ProductDefinitionRelationship());
}

/// Components beside `label` that place the same part by the same rigid move: `label` is the first
/// of them. The kernel cannot tell them apart; they follow in the order of the file.
std::vector<TDF_Label> look_alikes(const TDF_Label& label) {
    TDF_Label part;
    XCAFDoc_ShapeTool::GetReferredShape(label, part);
    TDF_LabelSequence siblings;
    XCAFDoc_ShapeTool::GetComponents(label.Father(), siblings);
    std::vector<TDF_Label> same;
    for (const TDF_Label& sibling : siblings) {
        TDF_Label other;
        if (XCAFDoc_ShapeTool::GetReferredShape(sibling, other) && other == part &&
            XCAFDoc_ShapeTool::GetLocation(sibling) == XCAFDoc_ShapeTool::GetLocation(label)) {
            same.push_back(sibling);
        }
    }
    return same;
}

/// Where the search for operators stands.
class OperatorSearch {
  public:
    OperatorSearch(const STEPCAFControl_Reader& reader, const TDocStd_Document& document)
        : reader_(reader),
          session_(reader.Reader().WS()),
          process_(session_->TransferReader()->TransientProcess()),
          model_(handle<StepData_StepModel>::DownCast(session_->Model())),
          shapes_(XCAFDoc_DocumentTool::ShapeTool(document.Main())),
          tool_(session_) {}

    OperatorPlacements run() {
        std::set<std::uint32_t> operators;
        for (int i = 1; i <= model_->NbEntities(); ++i) {
            const auto move = handle<Operator>::DownCast(model_->Value(i));
            if (!move.IsNull() && mirrors_or_scales(*move)) operators.insert(number_of(move));
        }
        if (operators.empty()) return {};
        for (int i = 1; i <= model_->NbEntities(); ++i) place(model_->Value(i));
        for (const std::uint32_t number : operators) {
            if (!placed_.contains(number)) out_.not_kept.push_back(number);
        }
        return std::move(out_);
    }

  private:
    std::uint32_t number_of(const handle<Standard_Transient>& entity) const {
        return static_cast<std::uint32_t>(std::max(0, model_->IdentLabel(entity)));
    }

    void place(const handle<Standard_Transient>& entity) {
        if (const auto use =
                handle<StepShape_ContextDependentShapeRepresentation>::DownCast(entity);
            !use.IsNull()) {
            place_occurrence(use);
        } else if (const auto item = handle<StepRepr_MappedItem>::DownCast(entity);
                   !item.IsNull()) {
            place_mapped(*item);
        }
    }

    /// Each occurrence takes one of the labels that look alike, also where nothing mirrors it.
    TDF_Label label_of(const handle<StepRepr_NextAssemblyUsageOccurrence>& occurrence) {
        const TDF_Label first = STEPCAFControl_Reader::FindInstance(occurrence, shapes_, tool_,
                                                                    reader_.GetShapeLabelMap());
        if (first.IsNull()) return first;
        for (const TDF_Label& label : look_alikes(first)) {
            if (taken_.IsBound(label)) continue;
            taken_.Bind(label, true);
            return label;
        }
        return {};
    }

    void place_occurrence(const handle<StepShape_ContextDependentShapeRepresentation>& use) {
        const auto occurrence = occurrence_of(*use);
        if (occurrence.IsNull()) return;
        const TDF_Label label = label_of(occurrence);
        const auto move = operator_of(*use);
        if (label.IsNull() || move.IsNull() || !mirrors_or_scales(*move) || !is_usable(*move)) {
            return;
        }
        const bool inverted = STEPConstruct_Assembly::CheckSRRReversesNAUO(session_->Graph(), use);
        const gp_Trsf rigid = XCAFDoc_ShapeTool::GetLocation(label).Transformation();
        out_.of_occurrence.Bind(label, full_placement(*move, rigid, inverted));
        placed_.insert(number_of(move));
    }

    /// Plain mapped items are noted too: only so can two uses of one shape be told apart that the
    /// kernel put at the same place.
    void place_mapped(const StepRepr_MappedItem& item) {
        const TopoDS_Shape shape = TransferBRep::ShapeResult(process_, &item);
        if (shape.IsNull()) return;
        const gp_Trsf rigid = shape.Location().Transformation();
        const auto move = handle<Operator>::DownCast(item.MappingTarget());
        if (move.IsNull() || !mirrors_or_scales(*move)) {
            out_.of_mapped_item.push_back({shape, rigid, 0});
            return;
        }
        const auto origin = item.MappingSource().IsNull()
                                ? nullptr
                                : handle<StepGeom_Axis2Placement3d>::DownCast(
                                      item.MappingSource()->MappingOrigin());
        if (!is_usable(*move) || origin.IsNull() || !is_identity(*origin)) return;
        out_.of_mapped_item.push_back(
            {shape, full_placement(*move, rigid, false), number_of(move)});
        placed_.insert(number_of(move));
    }

    /// The kernel leaves the origin of the map aside, so that only a plain one can be relied on.
    static bool is_identity(const StepGeom_Axis2Placement3d& origin) {
        const auto point = origin.Location();
        if (point.IsNull() || point->NbCoordinates() != 3) return false;
        const Vec3 at(point->CoordinatesValue(1), point->CoordinatesValue(2),
                      point->CoordinatesValue(3));
        const Vec3 z = direction(origin.Axis(), Vec3::UnitZ());
        const Vec3 x = direction(origin.RefDirection(), Vec3::UnitX());
        return at.norm() < 1e-9 && (z - Vec3::UnitZ()).norm() < 1e-9 &&
               (x - Vec3::UnitX()).norm() < 1e-9;
    }

    const STEPCAFControl_Reader& reader_;
    handle<XSControl_WorkSession> session_;
    handle<Transfer_TransientProcess> process_;
    handle<StepData_StepModel> model_;
    handle<XCAFDoc_ShapeTool> shapes_;
    STEPConstruct_Tool tool_;
    NCollection_DataMap<TDF_Label, bool, TDF_LabelMapHasher> taken_;
    std::set<std::uint32_t> placed_;
    OperatorPlacements out_;
};

}  // namespace

const MappedShape* OperatorPlacements::of(const TopoDS_Shape& shape) const {
    for (const auto& mapped : of_mapped_item) {
        if (mapped.shape.IsSame(shape)) return &mapped;
    }
    return nullptr;
}

MappedFaces::MappedFaces(const OperatorPlacements& operators) : operators_(operators) {
    for (std::size_t i = 0; i < operators.of_mapped_item.size(); ++i) {
        const TopoDS_Shape& shape = operators.of_mapped_item[i].shape;
        for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) {
            auto* uses = by_face_.ChangeSeek(it.Current());
            if (uses == nullptr) uses = by_face_.Bound(it.Current(), {});
            if (uses->empty() || uses->back() != i) uses->push_back(i);
        }
    }
}

const MappedShape* MappedFaces::next(const TopoDS_Shape& group) {
    const TopExp_Explorer first(group, TopAbs_FACE);
    if (!first.More() || by_face_.IsEmpty()) return nullptr;
    const auto* uses = by_face_.Seek(first.Current());
    if (uses == nullptr) return nullptr;
    const auto n = n_seen_.IsBound(first.Current()) ? n_seen_.Find(first.Current()) : 0;
    n_seen_.Bind(first.Current(), n + 1);
    return &operators_.of_mapped_item[(*uses)[n % uses->size()]];
}

OperatorPlacements find_operator_placements(const STEPCAFControl_Reader& reader,
                                            const TDocStd_Document& document) {
    return OperatorSearch(reader, document).run();
}

}  // namespace noonshell
