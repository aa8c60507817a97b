#include "cli/sun_files.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <iterator>
#include <memory>
#include <set>
#include <utility>

#include "cli/csv_text.hpp"
#include "cli/facet_files.hpp"
#include "cli/local_time.hpp"
#include "cli/result_units.hpp"
#include "cli/utf8.hpp"
#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

/// Seven digits are more than any input is good for.
void add_number(std::string& text, double value) {
    fmt::format_to(std::back_inserter(text), ",{:.7g}", value);
}

void add_kwh(std::string& text, double wh) {
    add_number(text, kwh_of_watt_hours(wh));
}

std::string months_csv(const RunResult& result) {
    const SunDetails& details = result.sun_details;
    const SurfaceBins& sums = details.months;
    std::string text =
        "surface,month,direct_kwh_m2,sky_kwh_m2,ground_kwh_m2,bounced_kwh_m2,total_kwh_m2\r\n";
    for (std::size_t s = 0; s < sums.n_surfaces; ++s) {
        const std::string name = csv_field(result.envelope().surfaces[s].id);
        for (std::size_t m = 0; m < months_of_year; ++m) {
            if (!details.month_there[m]) continue;
            const std::size_t i = sums.at(m, SurfaceId(s));
            text += fmt::format("{},{}", name, m + 1);
            for (const double wh : {sums.direct_wh_m2[i], sums.sky_wh_m2[i], sums.ground_wh_m2[i],
                                    sums.bounced_wh_m2[i], sums.total_wh_m2(i)})
                add_kwh(text, wh);
            text += csv_line_end;
        }
    }
    return text;
}

std::string facets_head() {
    std::string text =
        "surface,facet,x_m,y_m,z_m,normal_x,normal_y,normal_z,area_m2,covered,direct_kwh_m2,sky_"
        "kwh_m2,"
        "ground_kwh_m2,bounced_kwh_m2,total_kwh_m2,direct_standard_error_kwh_m2,"
        "sky_standard_error_kwh_m2,ground_standard_error_kwh_m2,bounced_standard_error_kwh_m2,"
        "standard_error_kwh_m2";
    for (std::size_t m = 1; m <= months_of_year; ++m) text += fmt::format(",month_{:02}_kwh_m2", m);
    return text += csv_line_end;
}

void add_light(const FacetSun& sun, std::size_t f, std::string& text) {
    double direct = 0, sky = 0, ground = 0, bounced = 0;
    std::array<double, months_of_year> by_month{};
    for (std::size_t bin = 0; bin < sun.n_bins; ++bin) {
        const std::size_t i = bin * sun.n_facets + f;
        direct += sun.direct_wh_m2[i];
        sky += sun.sky_wh_m2[i];
        ground += sun.ground_wh_m2[i];
        bounced += sun.bounced_wh_m2[i];
        by_month[bin] =
            sun.direct_wh_m2[i] + sun.sky_wh_m2[i] + sun.ground_wh_m2[i] + sun.bounced_wh_m2[i];
    }
    for (const double wh : {direct, sky, ground, bounced, direct + sky + ground + bounced})
        add_kwh(text, wh);
    const std::array<double, 4> errors = {
        sun.direct_standard_error_wh_m2[f], sun.sky_standard_error_wh_m2[f],
        sun.ground_standard_error_wh_m2[f], sun.bounced_standard_error_wh_m2[f]};
    for (const double wh : errors) add_kwh(text, wh);
    add_kwh(text, std::hypot(std::hypot(errors[0], errors[1]), std::hypot(errors[2], errors[3])));
    for (const double wh : by_month) add_kwh(text, wh);
}

std::string facets_csv(const RunResult& result) {
    const FacetArrays& facets = result.envelope().facets;
    NOONSHELL_CHECK_LE(result.light.facets.n_bins, months_of_year);
    std::string text = facets_head();
    for (std::size_t f = 0; f < facets.size(); ++f) {
        const Surface& surface = result.envelope().surfaces[facets.surface[f].index()];
        text += fmt::format("{},{}", csv_field(surface.id), f - surface.first_facet + 1);
        for (const Vec3& vector : {facets.centroid_m[f], facets.normal[f]}) {
            for (const double value : {vector.x(), vector.y(), vector.z()}) add_number(text, value);
        }
        add_number(text, facets.area_m2[f]);
        text += facets.covered[f] != 0 ? ",1" : ",0";
        add_light(result.light.facets, f, text);
        text += csv_line_end;
    }
    return text;
}

/// One surface after the other.
class HoursWriter {
  public:
    explicit HoursWriter(const RunResult& result)
        : result_(result),
          sunlit_(result.light.scenery, result.path, result.light.exchange.parts,
                  result.light.sunlight) {
        const ToldCalendar calendar = result.calendar();
        const Weather& weather = result.place.weather;
        for (std::size_t hour = 0; hour < weather.size(); ++hour) {
            if (!(weather.direct_normal_w_m2[hour] > 0) && !(weather.diffuse_w_m2[hour] > 0))
                continue;
            hours_.emplace_back(hour, calendar.text(calendar.end_of_step(hour, 1)));
        }
    }

    std::string next() {
        if (!begun_) {
            begun_ = true;
            return "surface,hour_end,direct_w_m2,sky_w_m2,ground_w_m2,bounced_w_m2,sunlit_"
                   "share\r\n";
        }
        if (surface_ == result_.envelope().surfaces.size()) return {};
        const SurfaceId id(surface_++);
        const std::string name = csv_field(result_.envelope().surfaces[id.index()].id);
        const Exposure& exposure = result_.light.exposure;
        std::string text;
        for (const auto& [hour, time] : hours_) {
            const std::size_t i = exposure.at(hour, id);
            text.append(name).append(",").append(time);
            for (const double light : {exposure.direct_w_m2[i], exposure.sky_w_m2[i],
                                       exposure.ground_w_m2[i], exposure.bounced_w_m2[i]})
                add_number(text, light);
            const SunlitShare::Value value = sunlit_.at(hour, id);
            if (value.unshaded_cosine > 0)
                fmt::format_to(std::back_inserter(text), ",{:.4g}", value.share);
            else
                text += ',';
            text += csv_line_end;
        }
        // A piece without anything would end the file.
        return text.empty() ? next() : text;
    }

  private:
    const RunResult& result_;
    SunlitShare sunlit_;
    std::vector<std::pair<std::size_t, std::string>> hours_;  // with their ends
    std::size_t surface_ = 0;
    bool begun_ = false;
};

std::pair<std::string_view, std::string> kind_and_name(const RunResult& result,
                                                       std::uint32_t seen) {
    switch (seen) {
        case SkyMask::sky:
            return {"sky", ""};
        case SkyMask::ground:
            return {"ground", ""};
        case SkyMask::hills:
            return {"hills", ""};
        default:
            break;
    }
    const Envelope& envelope = result.envelope();
    const SurfaceId surface = envelope.triangle_surface[seen];
    if (surface.valid()) return {"surface", envelope.surfaces[surface.index()].id};
    const Model& model = result.inspection.model;
    const FaceId face = envelope.blockers.triangle_face[seen];
    return {"context", model.bodies[model.faces[face.index()].body.index()].id};
}

std::string mask_csv(const RunResult& result, const SkyMask& mask) {
    std::string text = "azimuth_deg,elevation_deg,share,kind,what\r\n";
    for (std::uint32_t e = 0; e < mask.n_elevations; ++e) {
        for (std::uint32_t a = 0; a < mask.n_azimuths; ++a) {
            if (mask.at(a, e) == SkyMask::behind) continue;
            const auto [kind, name] = kind_and_name(result, mask.at(a, e));
            text += fmt::format("{:g},{:g},{:.7g},{},{}\r\n", mask.azimuth_deg(a),
                                mask.elevation_deg(e), mask.share(a, e), kind, csv_field(name));
        }
    }
    return text;
}

}  // namespace

std::string file_name_part(const std::string& id) {
    constexpr std::size_t longest = 120;  // bytes: file systems end names at 255
    std::string name;
    for (const char c : printable(id)) {
        const auto byte = static_cast<unsigned char>(c);
        const bool begins_letter = byte < 0x80 || byte >= 0xC0;
        if (name.size() >= longest && begins_letter) break;
        const bool safe = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
                          (c >= '0' && c <= '9') || c == '.' || c == '-' || c == '_';
        name += safe || byte >= 0x80 ? c : '_';
    }
    return name;
}

std::string mask_file_name(const std::string& surface_id) {
    return "mask-" + file_name_part(surface_id) + ".csv";
}

std::vector<SunFile> sun_files(const RunResult& result) {
    std::vector<SunFile> files;
    files.push_back({"surface_months.csv", at_once(months_csv(result))});
    files.push_back({"facets.csv", at_once(facets_csv(result))});
    if (result.choices.hours) {
        const auto writer = std::make_shared<HoursWriter>(result);
        files.push_back({"surface_hours.csv", [writer] { return writer->next(); }});
    }
    for (SunFile& file : facet_files(result)) files.push_back(std::move(file));
    std::set<std::string> taken;
    for (const FacetMask& mask : result.sun_details.masks) {
        std::string id = result.envelope().surfaces[mask.of.surface.index()].id;
        if (mask.of.number > 0) id += fmt::format("-facet-{}", mask.of.number);
        std::string name = mask_file_name(id);
        const std::string stem = name.substr(0, name.size() - 4);
        for (int n = 2; !taken.insert(name).second; ++n) name = fmt::format("{}-{}.csv", stem, n);
        files.push_back({name, at_once(mask_csv(result, mask.mask))});
    }
    return files;
}

}  // namespace noonshell
