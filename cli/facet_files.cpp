#include "cli/facet_files.hpp"

#include <fmt/format.h>

#include <cmath>
#include <iterator>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "cli/csv_text.hpp"
#include "cli/local_time.hpp"
#include "cli/result_units.hpp"

namespace noonshell {

namespace {

/// "bunk-1/roof,12": the surface and the facet's number on it, as in facets.csv.
std::string name_of(const RunResult& result, FacetId facet) {
    const Envelope& envelope = result.envelope();
    const Surface& surface = envelope.surfaces[envelope.facets.surface[facet.index()].index()];
    return fmt::format("{},{}", csv_field(surface.id), facet.index() - surface.first_facet + 1);
}

std::vector<std::size_t> told_in_tables(const RunResult& result) {
    return matching_facets(result.envelope(), result.sun_details.facet_hours,
                           result.choices.facets);
}

std::string facet_months_csv(const RunResult& result) {
    const FacetSun& sums = result.light.facets;
    std::string text =
        "surface,facet,month,direct_kwh_m2,sky_kwh_m2,ground_kwh_m2,bounced_kwh_m2,total_kwh_m2"
        "\r\n";
    for (const std::size_t told : told_in_tables(result)) {
        const FacetId facet = result.sun_details.facet_hours.facets[told];
        const std::string name = name_of(result, facet);
        for (std::size_t m = 0; m < sums.n_bins; ++m) {
            if (!result.sun_details.month_there[m]) continue;
            const std::size_t i = m * sums.n_facets + facet.index();
            text += fmt::format("{},{}", name, m + 1);
            double total = 0;
            for (const double wh : {sums.direct_wh_m2[i], sums.sky_wh_m2[i], sums.ground_wh_m2[i],
                                    sums.bounced_wh_m2[i]}) {
                fmt::format_to(std::back_inserter(text), ",{:.7g}", kwh_of_watt_hours(wh));
                total += wh;
            }
            fmt::format_to(std::back_inserter(text), ",{:.7g}", kwh_of_watt_hours(total));
            text += csv_line_end;
        }
    }
    return text;
}

/// Facets that are dark all the time have empty fields.
std::string times_csv(const RunResult& result) {
    const SunDetails& details = result.sun_details;
    const ToldCalendar calendar = result.calendar();
    std::string text =
        "surface,facet,earliest_sun,latest_sun,worst_hour_w_m2,worst_hour_end,worst_day_kwh_m2,"
        "worst_day\r\n";
    for (const std::size_t i : told_in_tables(result)) {
        const SunTimes& times = details.facet_times[i];
        const auto clock = [](const std::optional<double>& seconds) {
            return seconds ? clock_text(*seconds) : std::string();
        };
        text += fmt::format("{},{},{},{:.7g},", name_of(result, details.facet_hours.facets[i]),
                            clock(times.earliest_sun_s), clock(times.latest_sun_s),
                            times.worst_hour_w_m2);
        const bool lit = times.worst_hour_w_m2 > 0;
        if (lit) text += calendar.text(calendar.end_of_step(times.worst_hour, 1));
        text += fmt::format(",{:.7g},", kwh_of_watt_hours(times.worst_day_wh_m2));
        if (lit) text += calendar.date(times.worst_day_begin);
        text += csv_line_end;
    }
    return text;
}

/// One facet after the other.
class FacetHoursWriter {
  public:
    explicit FacetHoursWriter(const RunResult& result)
        : result_(result), hours_(result.sun_details.facet_hours), told_(told_in_tables(result)) {
        const ToldCalendar calendar = result.calendar();
        for (const std::uint32_t hour : hours_.hours)
            ends_.push_back(calendar.text(calendar.end_of_step(hour, 1)));
    }

    std::string next() {
        if (!begun_) {
            begun_ = true;
            return "surface,facet,hour_end,direct_w_m2,sky_w_m2,ground_w_m2,bounced_w_m2,"
                   "sunlit_share\r\n";
        }
        if (next_ == told_.size()) return {};
        const std::size_t facet = told_[next_++];
        const std::string name = name_of(result_, hours_.facets[facet]);
        std::string text;
        for (std::size_t row = 0; row < ends_.size(); ++row) {
            const std::size_t at = hours_.at(row, facet);
            text.append(name).append(",").append(ends_[row]);
            fmt::format_to(std::back_inserter(text), ",{:.7g},{:.7g},{:.7g},{:.7g},",
                           hours_.direct_w_m2[at], hours_.sky_w_m2[at], hours_.ground_w_m2[at],
                           hours_.bounced_w_m2[at]);
            if (!std::isnan(hours_.sunlit_share[at]))
                fmt::format_to(std::back_inserter(text), "{:.4g}", hours_.sunlit_share[at]);
            text += csv_line_end;
        }
        // A piece without anything would end the file.
        return text.empty() ? next() : text;
    }

  private:
    const RunResult& result_;
    const FacetHours& hours_;
    std::vector<std::string> ends_;
    std::vector<std::size_t> told_;  ///< into hours_.facets
    std::size_t next_ = 0;
    bool begun_ = false;
};

}  // namespace

std::vector<SunFile> facet_files(const RunResult& result) {
    if (result.choices.facets.empty()) return {};
    const auto writer = std::make_shared<FacetHoursWriter>(result);
    return {{"facet_months.csv", at_once(facet_months_csv(result))},
            {"facet_times.csv", at_once(times_csv(result))},
            {"facet_hours.csv", [writer] { return writer->next(); }}};
}

}  // namespace noonshell
