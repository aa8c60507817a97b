#include "cli/sun_path_picture.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <optional>

#include "cli/sights.hpp"
#include "cli/svg.hpp"
#include "cli/utf8.hpp"
#include "geometry/label_place.hpp"

namespace noonshell {

namespace {

constexpr double sheet_width = 800, sheet_height = 570;
constexpr double rim = 215, middle_x = 280, middle_y = 320;
constexpr double key_x = 570;
constexpr std::size_t most_sights_told = 9;

constexpr std::array<const char*, 12> path_months = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                                     "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
/// Told apart by lightness, too.
constexpr std::array<const char*, 4> body_fills = {"#8a9aa6", "#c9a883", "#b3bd97", "#a58aa3"};
constexpr const char* other_bodies_fill = "#cfcbc4";

/// Something that is seen, all of it together.
struct Sight {
    std::string name;
    std::string fill;
    double share = 0;                 ///< of the cosine-weighted hemisphere
    std::vector<ConvexPolygon> runs;  ///< of cells above the horizon, on the page
    bool labelled = false;
};

Vec2 on_page(double azimuth_deg, double elevation_deg) {
    const double r = rim * (90 - elevation_deg) / 90;
    const double a = azimuth_deg * std::numbers::pi / 180;
    return {middle_x + r * std::sin(a), middle_y - r * std::cos(a)};
}

/// The cells from azimuth `a` up to `end` at one elevation, as one outline.
ConvexPolygon run_on_page(const SkyMask& mask, std::uint32_t a, std::uint32_t end,
                          std::uint32_t e) {
    const double low = mask.elevation_deg(e) - mask.elevation_step_deg / 2;
    const double high = low + mask.elevation_step_deg;
    ConvexPolygon outline;
    for (std::uint32_t k = a; k <= end; ++k)
        outline.push_back(on_page(k * mask.azimuth_step_deg, low));
    if (high > 90 - 1e-9) {
        outline.push_back(on_page(0, 90));
        return outline;
    }
    for (std::uint32_t k = end + 1; k-- > a;)
        outline.push_back(on_page(k * mask.azimuth_step_deg, high));
    return outline;
}

/// The open sky first, then bodies by their share, then what is fixed.
std::vector<Sight> sights_of(const Inspection& inspection, const SkyMask& mask) {
    Sight sky{"open sky", "#ffffff", 0, {}, false}, ground{"ground", "#e9e3d6", 0, {}, false},
        hills{"hills", "#77705f", 0, {}, false},
        behind{"behind the surface", "url(#behind)", 0, {}, false};
    std::map<std::string, Sight> bodies;
    const std::uint32_t quarter = std::max(1U, mask.n_azimuths / 4);
    for (std::uint32_t e = 0; e < mask.n_elevations; ++e) {
        std::uint32_t run = 0;  // where it began
        for (std::uint32_t a = 0; a < mask.n_azimuths; ++a) {
            const std::uint32_t seen = mask.at(a, e);
            Sight* sight = nullptr;
            if (seen == SkyMask::sky) sight = &sky;
            if (seen == SkyMask::ground) sight = &ground;
            if (seen == SkyMask::hills) sight = &hills;
            if (seen == SkyMask::behind) sight = &behind;
            if (sight == nullptr) {
                const std::string name = sight_name(inspection, seen);
                sight = &bodies[name];
                sight->name = name;
            }
            if (sight != &behind) sight->share += mask.share(a, e);
            const bool goes_on = a + 1 < mask.n_azimuths && mask.at(a + 1, e) == seen &&
                                 (a + 1) % quarter != 0;  // no run closes on itself
            if (goes_on) continue;
            if (mask.elevation_deg(e) > 0) sight->runs.push_back(run_on_page(mask, run, a + 1, e));
            run = a + 1;
        }
    }
    std::vector<Sight> all{std::move(sky)};
    for (auto& [name, body] : bodies) all.push_back(std::move(body));
    std::stable_sort(all.begin() + 1, all.end(),
                     [](const Sight& a, const Sight& b) { return a.share > b.share; });
    for (std::size_t n = 1; n < all.size(); ++n) {
        all[n].fill = n <= body_fills.size() ? body_fills[n - 1] : other_bodies_fill;
        all[n].labelled = true;
    }
    for (Sight* rest : {&hills, &ground, &behind}) {
        if (rest->share > 0 || !rest->runs.empty()) all.push_back(std::move(*rest));
    }
    return all;
}

class SunPathsPage {
  public:
    SunPathsPage(const RunResult& result, const SkyMask& mask, const std::vector<DayPath>& paths,
                 std::string_view title)
        : result_(result),
          paths_(paths),
          sights_(sights_of(result.inspection, mask)),
          page_(sheet_width, sheet_height, title,
                "The sky around the surface: north up, the horizon as the rim, the zenith in the "
                "middle; the sun's path by month over what stands in the way.") {
        page_.add(fmt::format(
            "<defs><pattern id=\"behind\" width=\"6\" height=\"6\" "
            "patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\"><rect width=\"6\" "
            "height=\"6\" fill=\"#efece6\"/><line x1=\"0\" y1=\"0\" x2=\"0\" y2=\"6\" "
            "stroke=\"{}\" stroke-width=\"1\"/></pattern></defs>",
            picture_colour::rule));
        page_.text(30, 34, fmt::format("{}: the sun's paths", title), {.size = 19, .bold = true});
        page_.text(30, 52, subtitle(mask), {.size = 12, .fill = picture_colour::quiet});
    }

    std::string svg() {
        draw_sights();
        draw_grid();
        draw_hours();
        draw_paths();
        draw_names();
        draw_key();
        return page_.document();
    }

  private:
    std::string subtitle(const SkyMask& mask) const {
        return fmt::format(
            "{}, seen from x {:.2f}, y {:.2f}, z {:.2f} m; hours are standard time of the site",
            result_.settings.model.file.filename().string(), mask.point_m.x(), mask.point_m.y(),
            mask.point_m.z());
    }

    void draw_sights() {
        for (const Sight& sight : sights_) {
            const PlaneRegion region = PlaneRegion::union_of(sight.runs);
            if (region.empty()) continue;
            std::string d;
            for (const auto& outline : region.outlines_m()) d += closed_path(outline);
            page_.add(fmt::format(R"(<path fill="{}" stroke="{}" stroke-width="0.4" d="{}">)",
                                  sight.fill, picture_colour::quiet, d) +
                      "<title>" + xml_text(sight.name) + "</title></path>");
        }
    }

    /// Where names would cover the sun's paths and hours.
    PlaneRegion about_paths() const {
        std::vector<ConvexPolygon> bands;
        for (const DayPath& path : paths_) {
            for (std::size_t n = 0; n + 1 < path.suns.size(); n += 3) {
                const DayPath::Sun& end = path.suns[std::min(n + 3, path.suns.size() - 1)];
                const Vec2 from = on_page(path.suns[n].azimuth_deg, path.suns[n].elevation_deg);
                const Vec2 to = on_page(end.azimuth_deg, end.elevation_deg);
                const double left = std::min(from.x(), to.x()) - 6;
                const double right = std::max(from.x(), to.x()) + 6;
                const double top = std::min(from.y(), to.y()) - 16;
                const double bottom = std::max(from.y(), to.y()) + 3;
                bands.push_back({{left, top}, {right, top}, {right, bottom}, {left, bottom}});
            }
        }
        return PlaneRegion::union_of(bands);
    }

    void draw_names() {
        const PlaneRegion paths = about_paths();
        for (const Sight& sight : sights_) {
            if (!sight.labelled) continue;
            const PlaneRegion region = PlaneRegion::union_of(sight.runs).without(paths);
            const double width = 0.6 * 11 * static_cast<double>(display_width(sight.name)) + 6;
            if (const auto place = label_place(region, width, 15))
                page_.text(place->x(), place->y() + 4, sight.name,
                           {.size = 11, .anchor = "middle", .bold = true});
        }
    }

    void halo_text(double x, double y, std::string_view text, double size,
                   const char* fill = picture_colour::ink) {
        page_.open(fmt::format(R"(stroke="{}" stroke-width="3" stroke-linejoin="round")",
                               picture_colour::paper));
        page_.text(x, y, text, {.size = size, .anchor = "middle"});
        page_.close();
        page_.text(x, y, text, {.size = size, .anchor = "middle", .fill = fill});
    }

    void draw_grid() {
        page_.open(
            fmt::format(R"(fill="none" stroke="{}" stroke-width="0.7")", picture_colour::quiet));
        for (const double elevation : {0.0, 30.0, 60.0})
            page_.add(fmt::format(R"(<circle cx="{}" cy="{}" r="{}"/>)", middle_x, middle_y,
                                  svg_number(rim * (90 - elevation) / 90)));
        for (const double azimuth : {0.0, 90.0, 180.0, 270.0}) {
            const Vec2 end = on_page(azimuth, 0);
            page_.line(middle_x, middle_y, end.x(), end.y(), R"(stroke-dasharray="1 4")");
        }
        page_.close();
        for (const auto& [name, azimuth] : std::array<std::pair<const char*, double>, 4>{
                 {{"N", 0}, {"E", 90}, {"S", 180}, {"W", 270}}}) {
            const Vec2 at = on_page(azimuth, azimuth == 270 ? -18 : -7);
            page_.text(at.x(), at.y() + 5, name, {.size = 15, .anchor = "middle", .bold = true});
        }
        for (const double elevation : {30.0, 60.0}) {
            const Vec2 at = on_page(0, elevation);
            halo_text(at.x(), at.y() + 4, fmt::format("{:.0f}\u00B0", elevation), 10);
        }
    }

    static std::string line_through(const std::vector<Vec2>& places, std::string_view attributes) {
        std::string points;
        for (const Vec2& place : places) {
            if (!points.empty()) points += ' ';
            points += svg_number(place.x()) + ',' + svg_number(place.y());
        }
        return fmt::format(R"(<polyline points="{}" {}/>)", points, attributes);
    }

    /// From sunrise to sunset, even where that spans midnight.
    struct Arc {
        std::vector<DayPath::Sun> suns;
        bool closed = false;  ///< the sun does not set
    };

    static Arc arc_of(const DayPath& path) {
        Arc arc{path.suns, false};
        const auto sets = std::adjacent_find(
            arc.suns.begin(), arc.suns.end(),
            [](const DayPath::Sun& a, const DayPath::Sun& b) { return b.hour > a.hour + 1; });
        if (sets != arc.suns.end()) {
            std::rotate(arc.suns.begin(), sets + 1, arc.suns.end());
        } else if (!arc.suns.empty()) {
            arc.closed = arc.suns.back().hour == arc.suns.front().hour + 23;
        }
        return arc;
    }

    /// The second half of the year lies nearly over the first: it is dashed.
    void draw_paths() {
        page_.open(R"(fill="none" stroke="#a3341b" stroke-width="1.3")", "Sun's path by month");
        for (const DayPath& path : paths_) {
            const Arc arc = arc_of(path);
            std::vector<Vec2> places;
            for (const DayPath::Sun& sun : arc.suns)
                places.push_back(on_page(sun.azimuth_deg, sun.elevation_deg));
            if (places.size() < 2) continue;  // polar night
            if (arc.closed) places.push_back(places.front());
            page_.add(line_through(places, path.month < 6 ? "" : R"(stroke-dasharray="5 3")"));
        }
        page_.close();
        std::vector<RimName> at_rim;
        for (const DayPath& path : paths_) {
            const Arc arc = arc_of(path);
            if (arc.closed || arc.suns.empty()) continue;
            // At sunset, outside the rim.
            const Vec2 at = on_page(arc.suns.back().azimuth_deg, -7);
            const auto beside = std::ranges::find_if(
                at_rim, [&at](const RimName& other) { return meet(at, other.at); });
            if (beside == at_rim.end())
                at_rim.push_back({at, path_months[path.month]});
            else
                beside->text += std::string(", ") + path_months[path.month];
        }
        for (const RimName& name : at_rim) {
            const bool to_the_left = name.at.x() < middle_x;
            const double half_name = 13;  // of one month: the rest goes on outwards
            texts_.push_back(name.at);
            page_.text(name.at.x() + (to_the_left ? half_name : -half_name), name.at.y() + 4,
                       name.text,
                       {.size = 10.5, .anchor = to_the_left ? "end" : "start", .fill = "#8c2b15"});
        }
        for (const DayPath& path : paths_) {
            const Arc arc = arc_of(path);
            if (arc.closed) name_circle(arc, path.month);
        }
    }

    struct RimName {
        Vec2 at;
        std::string text;
    };

    /// Whether names of months there would lie over each other.
    static bool meet(const Vec2& a, const Vec2& b) {
        return std::abs(a.y() - b.y()) < 11 && std::abs(a.x() - b.x()) < 26;
    }

    /// On the path itself, in the west: later where the name would meet another.
    void name_circle(const Arc& arc, std::size_t month) {
        constexpr double first_deg = 270, last_deg = 330;
        for (const DayPath::Sun& sun : arc.suns) {
            if (sun.azimuth_deg < first_deg || sun.azimuth_deg > last_deg) continue;
            if (name_month(on_page(sun.azimuth_deg, sun.elevation_deg), month)) return;
        }
    }

    /// False where the name would meet another.
    bool name_month(const Vec2& at, std::size_t month) {
        const bool free =
            std::ranges::none_of(texts_, [&at](const Vec2& other) { return meet(at, other); });
        if (!free) return false;
        texts_.push_back(at);
        halo_text(at.x(), at.y() + 4, path_months[month], 10.5, "#8c2b15");
        return true;
    }

    /// Where the sun stands at full hours: between the last step of one hour and the first of the
    /// next.
    std::map<std::string, Vec2> full_hours(const DayPath& path) const {
        const ToldCalendar calendar = result_.calendar();
        std::map<std::string, Vec2> places;
        for (std::size_t n = 0; n + 1 < path.suns.size(); ++n) {
            const DayPath::Sun &before = path.suns[n], &after = path.suns[n + 1];
            if (after.hour != before.hour + 1) continue;
            const std::string text = calendar.text(calendar.end_of_step(before.hour, 1));
            const Vec2 place = (on_page(before.azimuth_deg, before.elevation_deg) +
                                on_page(after.azimuth_deg, after.elevation_deg)) /
                               2;
            places.emplace(text.substr(text.find('T') + 1, 5), place);
        }
        return places;
    }

    void draw_hours() {
        std::map<std::string, std::vector<Vec2>> by_hour;
        const DayPath* longest = nullptr;
        for (const DayPath& path : paths_) {
            for (const auto& [hour, place] : full_hours(path)) by_hour[hour].push_back(place);
            if (longest == nullptr || path.suns.size() > longest->suns.size()) longest = &path;
        }
        page_.open(R"(fill="none" stroke="#a3341b" stroke-width="0.6")", "Full hours");
        for (const auto& [hour, places] : by_hour) {
            if (places.size() < 2) continue;
            page_.add(places.size() > 2 ? fmt::format(R"(<path d="{}"/>)", closed_path(places))
                                        : line_through(places, ""));
        }
        page_.close();
        if (longest == nullptr) return;
        for (const auto& [hour, place] : full_hours(*longest)) {
            page_.add(fmt::format(R"(<circle cx="{}" cy="{}" r="2.2" fill="#a3341b"/>)",
                                  svg_number(place.x()), svg_number(place.y())));
            halo_text(place.x(), place.y() - 6, hour.substr(0, 2), 10);
            texts_.emplace_back(place.x(), place.y() - 10);
        }
    }

    void draw_key() {
        double y = 120;
        page_.text(key_x, y - 20, "It sees", {.size = 12, .bold = true});
        page_.text(sheet_width - 30, y - 20, "share", {.size = 11, .anchor = "end"});
        const auto row = [&](std::string_view fill, std::string_view name,
                             std::optional<double> share) {
            page_.rectangle(key_x, y, 20, 12,
                            fmt::format(R"(fill="{}" stroke="{}" stroke-width="0.5")", fill,
                                        picture_colour::quiet));
            page_.text(key_x + 28, y + 10, name, {.size = 11});
            if (share)
                page_.text(sheet_width - 30, y + 10, fmt::format("{:.1f} %", 100 * *share),
                           {.size = 11, .anchor = "end"});
            y += 20;
        };
        double others = 0;
        std::size_t told = 0;
        for (const Sight& sight : sights_) {
            const bool is_behind = sight.fill.starts_with("url");
            if (sight.labelled && ++told > most_sights_told) {
                others += sight.share;
                continue;
            }
            row(sight.fill, sight.name,
                is_behind ? std::nullopt : std::optional<double>(sight.share));
        }
        if (others > 0) row(other_bodies_fill, "others", others);
        y += 14;
        for (const auto& [dashes, text] : std::array<std::pair<const char*, const char*>, 2>{
                 {{"", "sun, January to June"},
                  {R"( stroke-dasharray="5 3")", "sun, July to December"}}}) {
            page_.line(key_x, y, key_x + 20, y,
                       fmt::format(R"(stroke="#a3341b" stroke-width="1.3"{})", dashes));
            page_.text(key_x + 28, y + 4, text, {.size = 11});
            y += 20;
        }
        page_.text(key_x, y + 8, "Shares are of its light under an", {.size = 10.5});
        page_.text(key_x, y + 22, "evenly bright surrounding.", {.size = 10.5});
    }

    const RunResult& result_;
    const std::vector<DayPath>& paths_;
    std::vector<Sight> sights_;
    std::vector<Vec2> texts_;  // about the middles of hours and names of months
    SvgPage page_;
};

}  // namespace

std::string sun_paths_svg(const RunResult& result, const SkyMask& mask,
                          const std::vector<DayPath>& paths, std::string_view title) {
    return SunPathsPage(result, mask, paths, title).svg();
}

}  // namespace noonshell
