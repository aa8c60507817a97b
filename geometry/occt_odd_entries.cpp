#include "geometry/occt_odd_entries.hpp"

#include <StepShape_ConnectedFaceSet.hxx>
#include <StepShape_FaceSurface.hxx>
#include <StepShape_OrientedClosedShell.hxx>
#include <StepShape_OrientedFace.hxx>
#include <StepShape_OrientedOpenShell.hxx>
#include <StepShape_Subface.hxx>
#include <TCollection_HAsciiString.hxx>
#include <algorithm>
#include <memory>
#include <unordered_set>

#include "geometry/occt_text.hpp"
#include "geometry/step_records.hpp"

namespace noonshell {

namespace {

using opencascade::handle;

std::string without_filler(const std::string& name) {
    return is_filler_name(name) ? std::string{} : name;
}

std::string reason_for(const std::string& kind) {
    return "the CAD kernel passes over " + kind + " in the list of a shell";
}

class OddEntries {
  public:
    OddEntries(const StepData_StepModel& model, const std::function<std::string()>& file_text)
        : model_(model), file_text_(file_text) {}

    std::vector<LeftOut> run() {
        for (int i = 1; i <= model_.NbEntities(); ++i) {
            const auto shell = handle<StepShape_ConnectedFaceSet>::DownCast(model_.Value(i));
            // Oriented shells have the list of another one, which is looked at by itself.
            if (shell.IsNull() || shell->IsKind(STANDARD_TYPE(StepShape_OrientedClosedShell)) ||
                shell->IsKind(STANDARD_TYPE(StepShape_OrientedOpenShell)) ||
                shell->CfsFaces().IsNull()) {
                continue;
            }
            look_at(*shell, number_of(shell));
        }
        return std::move(left_out_);
    }

  private:
    std::uint32_t number_of(const handle<Standard_Transient>& entity) const {
        return static_cast<std::uint32_t>(std::max(0, model_.IdentLabel(entity)));
    }

    void look_at(const StepShape_ConnectedFaceSet& shell, std::uint32_t number) {
        std::unordered_set<const Standard_Transient*> seen;
        for (int i = 1; i <= shell.NbCfsFaces(); ++i) {
            const auto entry = shell.CfsFacesValue(i);
            if (!entry.IsNull() && !seen.insert(entry.get()).second) {
                take_repeated(entry, number);
            } else if (entry.IsNull()) {
                take_from_text(number, static_cast<std::size_t>(i - 1));
            } else if (!entry->IsKind(STANDARD_TYPE(StepShape_FaceSurface))) {
                take(entry);
            }
        }
    }

    /// The kernel takes it once.
    void take_repeated(const handle<StepShape_Face>& entry, std::uint32_t shell) {
        left_out_.push_back(
            {.entity = "#" + std::to_string(number_of(entry)),
             .name = name_of(entry),
             .reason = "the shell #" + std::to_string(shell) + " lists this face once more",
             .is_double = true,
             .area_known = false});
    }

    static std::string name_of(const handle<StepShape_Face>& entry) {
        return entry->Name().IsNull() ? std::string{}
                                      : without_filler(one_line(entry->Name()->ToCString()));
    }

    void take(const handle<StepShape_Face>& entry) {
        const bool oriented = entry->IsKind(STANDARD_TYPE(StepShape_OrientedFace));
        const bool subface = entry->IsKind(STANDARD_TYPE(StepShape_Subface));
        const std::string kind = oriented  ? "an ORIENTED_FACE"
                                 : subface ? "a SUBFACE"
                                           : "a FACE without a surface";
        left_out_.push_back({.entity = "#" + std::to_string(number_of(entry)),
                             .name = name_of(entry),
                             .reason = reason_for(kind),
                             .area_known = false});
    }

    /// The kernel keeps nothing of an entry that it does not take for a face.
    void take_from_text(std::uint32_t shell, std::size_t index) {
        if (!records_) {
            text_ = file_text_();
            records_ = std::make_unique<StepRecords>(text_);
        }
        const std::uint32_t number = records_->read(shell).at(1).at(index).reference;
        if (number == 0) return;
        const StepValue record = records_->read(number);
        const std::string kind = record.kind == StepValue::Kind::typed ? "the entity " + record.text
                                                                       : "a missing entity";
        left_out_.push_back({.entity = "#" + std::to_string(number),
                             .name = without_filler(one_line(record.at(0).text)),
                             .reason = reason_for(kind),
                             .area_known = false});
    }

    const StepData_StepModel& model_;
    const std::function<std::string()>& file_text_;
    std::string text_;
    std::unique_ptr<StepRecords> records_;
    std::vector<LeftOut> left_out_;
};

}  // namespace

std::vector<LeftOut> odd_shell_entries(const StepData_StepModel& model,
                                       const std::function<std::string()>& file_text) {
    return OddEntries(model, file_text).run();
}

}  // namespace noonshell
