#include "cli/view_picture.hpp"

#include <fmt/format.h>

#include <Eigen/Geometry>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include "cli/coloured_model.hpp"
#include "cli/picture_scale.hpp"
#include "cli/svg.hpp"
#include "cli/utf8.hpp"
#include "geometry/compass.hpp"
#include "geometry/label_place.hpp"
#include "geometry/view_frame.hpp"
#include "geometry/visible_parts.hpp"

namespace noonshell {

namespace {

constexpr double page_width = 1000, border = 30, gutter = 40;
constexpr double head_height = 66, caption_height = 24, space_below = 18, key_height = 150;
constexpr double most_px_per_m = 60;
constexpr double around_m = 0.4;  ///< shown beyond the building
/// Slivers between neighbours that no pen can draw [m2].
constexpr double least_drawn_area_m2 = 1e-5;
constexpr double letter_share = 0.66;  ///< width of a bold letter over its size, for labels
/// Below, white letters stand out more than dark ones.
constexpr double light_share = 0.52;

struct PaintWords {
    const char *title, *unit, *value_format;
};

PaintWords paint_words(ColourBy by) {
    switch (by) {
        case ColourBy::sun:
            return {"Sun over the period", "kWh/m\u00B2", "{:.0f}"};
        case ColourBy::peak_outside:
            return {"Highest outside temperature", "\u00B0C", "{:.1f}"};
        case ColourBy::inward:
            return {"Heat inward over the period", "kWh/m\u00B2", "{:.0f}"};
        case ColourBy::rank:
            break;
    }
    return {"Rank: 1 saves most cooling for its cost", "", "{:.0f}"};
}

/// An area of the page in which one view is drawn.
struct ViewExtent {
    Vec2 low_m{std::numeric_limits<double>::max(), std::numeric_limits<double>::max()};
    Vec2 high_m = -low_m;

    void take(const Vec2& place_m) {
        low_m = low_m.cwiseMin(place_m);
        high_m = high_m.cwiseMax(place_m);
    }
    double width_m() const { return high_m.x() - low_m.x(); }
    double height_m() const { return high_m.y() - low_m.y(); }
};

/// One of the building's views, ready to be placed.
struct DrawnView {
    std::string caption;
    ViewFrame frame;
    ViewExtent extent;
    std::vector<PlaneRegion> regions;  ///< by item: surfaces, then bodies
};

/// What is drawn: the model's faces as coloured.step paints them.
class DrawnModel {
  public:
    explicit DrawnModel(const RunResult& result)
        : model_(result.inspection.model),
          surfaces_(result.envelope().surfaces),
          roles_(result.inspection.roles),
          of_face_(model_.faces.size(), none) {
        // A face that is roof and eaves is the roof, as in coloured.step.
        for (const bool of_unit : {false, true}) {
            for (std::size_t s = surfaces_.size(); s-- > 0;) {
                if (surfaces_[s].unit.valid() != of_unit) continue;
                for (const FaceId face : surfaces_[s].faces)
                    of_face_[face.index()] = static_cast<std::uint32_t>(s);
            }
        }
    }

    std::size_t n_items() const { return surfaces_.size() + model_.bodies.size(); }

    DrawnView view(std::string caption, const ViewFrame& frame) const {
        DrawnView view{std::move(caption), frame, {}, {}};
        std::vector<ViewTriangle> triangles;
        for (std::size_t t = 0; t < model_.mesh.triangles.size(); ++t) {
            const ViewTriangle triangle{
                {model_.mesh.corner(t, 0), model_.mesh.corner(t, 1), model_.mesh.corner(t, 2)},
                item_of(t, frame)};
            const Body& body = model_.bodies[body_of(t)];
            const Role role = roles_[body_of(t)].role;
            if (role == Role::ignore) continue;
            for (const Vec3& corner : triangle.corners_m) {
                if (role != Role::context) view.extent.take(frame.place_m(corner));
            }
            const bool seen_from_behind = normal_of(t).dot(frame.toward_viewer) <= 0;
            if (!(body.solid && seen_from_behind)) triangles.push_back(triangle);
        }
        view.extent.low_m.array() -= around_m;
        view.extent.high_m.array() += around_m;
        view.regions = visible_parts(triangles, n_items(), frame);
        const Vec2 &low = view.extent.low_m, &high = view.extent.high_m;
        const std::array<ConvexPolygon, 1> window = {
            ConvexPolygon{low, {high.x(), low.y()}, high, {low.x(), high.y()}}};
        for (PlaneRegion& region : view.regions)
            region = region.within(PlaneRegion::union_of(window));
        return view;
    }

  private:
    static constexpr std::uint32_t none = SurfaceId::none_value;

    std::size_t body_of(std::size_t triangle) const {
        return model_.faces[model_.mesh.triangle_face[triangle].index()].body.index();
    }
    Vec3 normal_of(std::size_t t) const {
        const Vec3 a = model_.mesh.corner(t, 0);
        return (model_.mesh.corner(t, 1) - a).cross(model_.mesh.corner(t, 2) - a);
    }
    std::uint32_t item_of(std::size_t triangle, const ViewFrame& frame) const {
        const std::uint32_t s = of_face_[model_.mesh.triangle_face[triangle].index()];
        if (s == none) return static_cast<std::uint32_t>(surfaces_.size() + body_of(triangle));
        const SurfaceId other = surfaces_[s].other_side;
        const bool away = surfaces_[s].normal.dot(frame.toward_viewer) < 0;
        return other.valid() && away ? other.value : s;
    }

    const Model& model_;
    const std::vector<Surface>& surfaces_;
    const std::vector<RoleChoice>& roles_;
    std::vector<std::uint32_t> of_face_;
};

class ViewsPage {
  public:
    ViewsPage(const RunResult& result, ColourBy by)
        : result_(result),
          told_(paint_words(by)),
          by_(by),
          sides_(main_sides_deg(result.envelope())) {
        const ColourEnds ends = colour_ends(result, by);
        scale_ = {ends.low, ends.high, told_.unit, by == ColourBy::rank};
        const double north_deg = result.envelope().north_deg;
        const DrawnModel drawn(result);
        plan_ = drawn.view("From above", view_from_above(sides_[0], north_deg));
        for (const double side : sides_) {
            side_views_.push_back(
                drawn.view(fmt::format("{} side, faces {:.0f}\u00B0", side_name(side), side),
                           view_from_side(side, north_deg)));
        }
    }

    std::string svg() {
        // Two columns of one width: plan over south side, key over the other sides.
        const double column_m = std::max(plan_.extent.width_m(), plan_.extent.height_m());
        const double column = (page_width - 2 * border - gutter) / 2;
        px_per_m_ = std::min(most_px_per_m, column / column_m);
        const double second = border + column + gutter;
        const double side = height_of(side_views_[0]);
        const double below_plan = head_height + height_of(plan_);
        const double below_key = head_height + key_height;
        const double height = std::max(below_plan + side, below_key + 3 * side) + border;

        const std::string model = result_.settings.model.file.filename().string();
        const std::string title = fmt::format("{}: {}", model, titled());
        SvgPage page(page_width, height, title,
                     "The building from above and from its four sides; every surface has the "
                     "colour of its value.");
        define_ramp(page);
        define_hatch(page);
        page.text(border, 34, told_.title, {.size = 19, .bold = true});
        page.text(border, 52, fmt::format("{}, {}", model, period()),
                  {.size = 12, .fill = picture_colour::quiet});
        draw(page, plan_, border, head_height, false);
        draw(page, side_views_[2], border, below_plan, true);
        key(page, second, head_height);
        draw(page, side_views_[0], second, below_key, true);
        draw(page, side_views_[1], second, below_key + side, true);
        draw(page, side_views_[3], second, below_key + 2 * side, true);
        return page.document();
    }

  private:
    double height_of(const DrawnView& view) const {
        return caption_height + view.extent.height_m() * px_per_m_ + space_below;
    }

    static std::string side_name(double azimuth_deg) {
        std::string name(compass_words(azimuth_deg));
        name[0] = static_cast<char>(name[0] - 'a' + 'A');
        return name;
    }

    std::string titled() const {
        return scale_.is_rank ? told_.title : fmt::format("{}, {}", told_.title, told_.unit);
    }

    std::string period() const {
        const ToldCalendar calendar = result_.calendar();
        const std::size_t last = result_.place.weather.size() - 1;
        const std::string from = calendar.date(0), to = calendar.date(last);
        return from == to ? from : fmt::format("{} to {}", from, to);
    }

    static void define_hatch(SvgPage& page) {
        page.add(fmt::format(
            "<defs><pattern id=\"bare\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\" "
            "patternTransform=\"rotate(45)\"><rect width=\"5\" height=\"5\" fill=\"#f4f2ee\"/>"
            "<line x1=\"0\" y1=\"0\" x2=\"0\" y2=\"5\" stroke=\"{}\" stroke-width=\"1\"/>"
            "</pattern></defs>",
            picture_colour::rule));
    }

    /// The name that a surface or body goes by in a picture.
    std::string owner(std::size_t item) const {
        const Envelope& envelope = result_.envelope();
        const Model& model = result_.inspection.model;
        if (item >= envelope.surfaces.size())
            return model.bodies[item - envelope.surfaces.size()].id;
        const Surface& surface = envelope.surfaces[item];
        if (surface.unit.valid()) return envelope.units[surface.unit.index()].id;
        return surface.id.substr(0, surface.id.rfind('/'));
    }

    std::string value_text(double value) const {
        return fmt::format(fmt::runtime(told_.value_format), std::abs(value) < 0.05 ? 0.0
                                                             : scale_.is_rank       ? -value
                                                                                    : value);
    }

    void draw(SvgPage& page, const DrawnView& view, double x, double y, bool from_the_side) const {
        page.text(x, y + 14, view.caption, {.size = 13, .bold = true});
        const double top = y + caption_height;
        const auto placed = [&](const Vec2& place_m) -> Vec2 {
            return {x + (place_m.x() - view.extent.low_m.x()) * px_per_m_,
                    top + (view.extent.high_m.y() - place_m.y()) * px_per_m_};
        };
        page.open(fmt::format(R"(stroke="{}" stroke-width="0.7" stroke-linejoin="round")",
                              picture_colour::ink),
                  view.caption);
        for (std::size_t item = 0; item < view.regions.size(); ++item)
            area(page, item, view.regions[item], placed);
        page.close();
        if (from_the_side) {
            const double ground = placed({0, result_.envelope().ground_z_m}).y();
            page.line(x, ground, x + view.extent.width_m() * px_per_m_, ground,
                      fmt::format(R"(stroke="{}" stroke-width="1.8")", picture_colour::ink));
        }
        for (std::size_t item = 0; item < view.regions.size(); ++item)
            label(page, item, view.regions[item], placed);
    }

    template <class Placed>
    void area(SvgPage& page, std::size_t item, const PlaneRegion& region,
              const Placed& placed) const {
        if (region.area_m2() < least_drawn_area_m2) return;
        std::string d;
        for (const std::vector<Vec2>& outline : region.outlines_m()) {
            std::vector<Vec2> places;
            places.reserve(outline.size());
            for (const Vec2& corner : outline) places.push_back(placed(corner));
            d += closed_path(places);
        }
        const auto value = item_value(item);
        const std::string id = item < result_.envelope().surfaces.size()
                                   ? result_.envelope().surfaces[item].id
                                   : owner(item);
        const std::string told =
            value ? fmt::format("{}: {} {}", id, value_text(*value), scale_.unit) : id;
        page.add(fmt::format(R"(<path fill="{}" d="{}"><title>{}</title></path>)",
                             value ? scale_.colour(*value) : "url(#bare)", d,
                             xml_text(told.substr(0, told.find_last_not_of(' ') + 1))));
    }

    std::optional<double> item_value(std::size_t item) const {
        if (item >= result_.envelope().surfaces.size()) return std::nullopt;
        return colour_value(result_, SurfaceId(item), by_);
    }

    /// Name and value, in smaller letters or the value alone where there is less room.
    template <class Placed>
    void label(SvgPage& page, std::size_t item, const PlaneRegion& region,
               const Placed& placed) const {
        if (region.empty()) return;
        const auto value = item_value(item);
        const std::string name = owner(item), number = value ? value_text(*value) : "";
        const char* fill = !value || scale_.share_of(*value) > light_share ? picture_colour::ink
                                                                           : picture_colour::paper;
        struct Form {
            double size;
            bool named;
        };
        for (const Form& form : {Form{12, true}, Form{9.5, true}, Form{9.5, false}}) {
            if (!form.named && number.empty()) return;
            const std::size_t letters =
                std::max(form.named ? display_width(name) : 0, number.size());
            const double lines = (form.named ? 1 : 0) + (number.empty() ? 0 : 1);
            const double width = letter_share * form.size * static_cast<double>(letters) + 4;
            const double height = 1.15 * form.size * lines + 4;
            const auto place = label_place(region, width / px_per_m_, height / px_per_m_);
            if (!place) continue;
            const Vec2 at = placed(*place);
            double y = at.y() - height / 2 + 2 + 0.85 * form.size;
            // A hatch would run through the letters.
            if (!value)
                page.rectangle(at.x() - width / 2, at.y() - height / 2, width, height,
                               R"(fill="#f4f2ee")");
            if (form.named) {
                page.text(at.x(), y, name,
                          {.size = form.size, .anchor = "middle", .bold = true, .fill = fill});
                y += 1.15 * form.size;
            }
            if (!number.empty())
                page.text(at.x(), y, number, {.size = form.size, .anchor = "middle", .fill = fill});
            return;
        }
    }

    /// North arrow, lengths, colours.
    void key(SvgPage& page, double x, double y) const {
        const double width = page_width - border - x;
        page.text(x, y + 14, titled(), {.size = 12, .bold = true});
        draw_scale(page, scale_, x + 12, y + caption_height, width - 24);
        page.rectangle(x + 12, y + 72, 22, 12,
                       fmt::format(R"x(fill="url(#bare)" stroke="{}" stroke-width="0.5")x",
                                   picture_colour::ink));
        page.text(x + 42, y + 82, "no value");
        scale_bar(page, x + 150, y + 75, width - 260);
        north_arrow(page, x + width - 34, y + 92);
    }

    void scale_bar(SvgPage& page, double x, double y, double most_width) const {
        const double length_m = round_numbers(0, most_width / px_per_m_, 2)[1];
        const double length = length_m * px_per_m_;
        const std::string ink =
            fmt::format(R"(stroke="{0}" stroke-width="0.8" fill=)", picture_colour::ink);
        for (int n = 0; n < 4; ++n)
            page.rectangle(x + n * length / 4, y, length / 4, 6,
                           ink + (n % 2 == 0 ? R"("#22201c")" : R"("#ffffff")"));
        page.text(x, y + 21, "0", {.size = 11, .anchor = "middle"});
        page.text(x + length, y + 21, fmt::format("{:g} m", length_m),
                  {.size = 11, .anchor = "middle"});
    }

    void north_arrow(SvgPage& page, double x, double y) const {
        page.open(fmt::format(R"x(transform="rotate({} {} {})")x", svg_number(-sides_[0]),
                              svg_number(x), svg_number(y)),
                  "North");
        page.add(fmt::format(R"(<path d="M{0} {1}l9 30l-9 -6l-9 6Z" fill="{2}"/>)", svg_number(x),
                             svg_number(y - 18), picture_colour::ink));
        page.text(x, y - 23, "N", {.size = 14, .anchor = "middle", .bold = true});
        page.close();
    }

    const RunResult& result_;
    const PaintWords told_;
    const ColourBy by_;
    const std::array<double, 4> sides_;
    PictureScale scale_;
    DrawnView plan_;
    std::vector<DrawnView> side_views_;
    double px_per_m_ = 1;
};

}  // namespace

std::string views_svg(const RunResult& result, ColourBy by) {
    return ViewsPage(result, by).svg();
}

}  // namespace noonshell
