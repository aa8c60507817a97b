#include "geometry/reading_stage.hpp"

#include <StepData_StepModel.hxx>
#include <Transfer_TransientProcess.hxx>
#include <XSControl_TransferReader.hxx>
#include <XSControl_WorkSession.hxx>
#include <cstdio>
#include <cstring>

namespace noonshell {

namespace {

struct Stage {
    const char* doing = "";
    std::uint32_t entity = 0;
    const XSControl_WorkSession* session = nullptr;
};

/// Of this process; the reader runs one at a time (kernel_mutex()), in a child of its own.
Stage stage;

/// Without the kernel's prefix: "StepShape_AdvancedFace" is an AdvancedFace.
const char* record_type_of(const Standard_Transient& entity) {
    const char* name = entity.DynamicType()->Name();
    const char* after = std::strchr(name, '_');
    return after == nullptr ? name : after + 1;
}

/// The entity whose translation the kernel began last. Only looks things up: no memory is asked
/// for. A handle is a counted pointer; nothing here is the last to let go of one.
bool say_translated_entity(char* text, std::size_t size) {
    const auto& reader = stage.session->TransferReader();
    if (reader.IsNull() || reader->TransientProcess().IsNull()) return false;
    const auto& process = reader->TransientProcess();
    const auto model = opencascade::handle<StepData_StepModel>::DownCast(stage.session->Model());
    const int last = process->NbMapped();
    if (last == 0 || model.IsNull()) return false;
    const auto& entity = process->Mapped(last);
    if (entity.IsNull()) return false;
    std::snprintf(text, size, "while translating #%d (%s)", model->IdentLabel(entity),
                  record_type_of(*entity));
    return true;
}

}  // namespace

void now_at(const char* doing, std::uint32_t entity) {
    stage = {doing, entity, nullptr};
}

void now_translating(const XSControl_WorkSession* session) {
    stage = {"while translating", 0, session};
}

void say_stage(char* text, std::size_t size) {
    // Said first, in case that looking further crashes again.
    std::snprintf(text, size, "%s", stage.doing);
    if (stage.session != nullptr) {
        say_translated_entity(text, size);
    } else if (stage.entity != 0) {
        std::snprintf(text, size, "%s #%u", stage.doing, stage.entity);
    }
}

}  // namespace noonshell
