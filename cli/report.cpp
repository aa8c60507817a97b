#include "cli/report.hpp"

#include "cli/plan_told.hpp"
#include "cli/report_data.hpp"
#include "geometry/diagnostics.hpp"

#ifdef NOONSHELL_WITH_PAGE
// From page_bytes.S, which holds the page as the npm build made it.
extern "C" const char noonshell_page_begin;
extern "C" const char noonshell_page_end;
#endif

namespace noonshell {

namespace {

/// JSON as it may stand inside a script element: "<" occurs in texts alone, where an escape means
/// the same.
std::string inside_a_page(const Json& data) {
    std::string text;
    for (const char c : data.dump()) {
        if (c == '<')
            text += "\\u003c";
        else
            text += c;
    }
    return text;
}

}  // namespace

std::string_view report_page() {
#ifdef NOONSHELL_WITH_PAGE
    return {&noonshell_page_begin, &noonshell_page_end};
#else
    return {};
#endif
}

namespace {

std::string page_with(const Json& data) {
    static constexpr std::string_view place = "\"the data of the run\"";
    const std::string_view page = report_page();
    const std::size_t at = page.find(place);
    NOONSHELL_CHECK_LT(at, page.size());
    std::string html(page.substr(0, at));
    html += inside_a_page(data);
    html += page.substr(at + place.size());
    return html;
}

}  // namespace

std::string report_html(const RunResult& result) {
    return page_with(report_data(result));
}

std::string report_html(const PlanResult& result) {
    Json data = report_data(result.run);
    data["summary"]["currency"] = json_text(result.run.settings.plan.currency);
    data["plan"] = plan_document(result);
    return page_with(data);
}

}  // namespace noonshell
