#include "geometry/occt_session.hpp"

#include <Interface_Static.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <Message_Printer.hxx>
#include <STEPCAFControl_Controller.hxx>
#include <TCollection_AsciiString.hxx>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "geometry/occt_text.hpp"

namespace noonshell {

namespace {

/// Keeps failures in memory instead of printing them.
class KeepingPrinter : public Message_Printer {
  public:
    const std::vector<std::string>& failures() const { return failures_; }

  protected:
    void send(const TCollection_AsciiString& text, const Message_Gravity gravity) const override {
        if (gravity >= Message_Fail && failures_.size() < most_kept) {
            failures_.push_back(one_line(text.ToCString()));
        }
    }

  private:
    static constexpr std::size_t most_kept = 100;
    mutable std::vector<std::string> failures_;
};

}  // namespace

std::mutex& kernel_mutex() {
    static std::mutex mutex;
    return mutex;
}

struct OcctSession::State {
    Message_SequenceOfPrinters printers_before;
    opencascade::handle<KeepingPrinter> keeper = new KeepingPrinter;
};

OcctSession::OcctSession() : state_(std::make_unique<State>()) {
    auto& printers = Message::DefaultMessenger()->ChangePrinters();
    state_->printers_before = printers;
    printers.Clear();
    printers.Append(state_->keeper);
    STEPCAFControl_Controller::Init();
}

OcctSession::~OcctSession() {
    Message::DefaultMessenger()->ChangePrinters() = state_->printers_before;
}

void OcctSession::set(const char* parameter, const char* value) {
    NOONSHELL_CHECK_EQ(bool(Interface_Static::SetCVal(parameter, value)), true);
}

std::string OcctSession::first_failure() const {
    if (state_->keeper->failures().empty()) return {};
    std::string text = state_->keeper->failures().front();
    // Before this comes where in memory the kernel was, which differs from run to run.
    constexpr std::string_view lead = "Standard_Failure: ";
    if (const auto at = text.find(lead); at != text.npos) text.erase(0, at + lead.size());
    while (!text.empty() && (text.back() == '.' || text.back() == ' ')) text.pop_back();
    return text;
}

}  // namespace noonshell
