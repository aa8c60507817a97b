#include <algorithm>
#include <array>

#include "cli/settings_reader.hpp"
#include "cli/site_tables.hpp"

namespace noonshell {

namespace {

constexpr std::array<std::string_view, 4> ground_keys = {"name", "albedo", "x_m", "y_m"};
constexpr std::size_t most_corners = 1000;
const NumberRange coordinates = NumberRange::between(-1e5, 1e5);

std::vector<double> corners(const TomlTable& table, std::string_view key) {
    const auto values = table.numbers(key, 2, most_corners, coordinates);
    if (!values) throw table.missing(key, "x_m and y_m, each two ends or a list of corners");
    return *values;
}

/// A rectangle by its ends, or a ring corner by corner.
std::vector<Vec2> outline(const TomlTable& table) {
    const std::vector<double> x = corners(table, "x_m"), y = corners(table, "y_m");
    if (x.size() != y.size()) {
        throw table.error("y_m", "as many numbers as x_m, " + std::to_string(x.size()),
                          std::to_string(y.size()));
    }
    if (x.size() == 2) return {{x[0], y[0]}, {x[1], y[0]}, {x[1], y[1]}, {x[0], y[1]}};
    std::vector<Vec2> ring;
    for (std::size_t i = 0; i < x.size(); ++i) ring.emplace_back(x[i], y[i]);
    double twice_area = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Vec2 &a = ring[i], &b = ring[(i + 1) % ring.size()];
        twice_area += a.x() * b.y() - a.y() * b.x();
    }
    if (twice_area == 0) throw table.error("x_m", "corners that enclose an area", "none");
    return ring;
}

}  // namespace

void read_ground_regions(const TomlTable& root, std::vector<InputRecord>& inputs,
                         SiteSettings& site) {
    for (const TomlTable& table : root.tables("ground", ground_keys)) {
        SettingsReader reader(table, table.path(), inputs);
        GroundRegion region;
        region.name = reader.needed_text("name");
        const bool taken =
            std::any_of(site.ground.regions.begin(), site.ground.regions.end(),
                        [&](const GroundRegion& other) { return other.name == region.name; });
        if (taken) throw table.error("name", "a name not used before", region.name + " again");
        site.region_albedo.push_back(reader.needed_number("albedo", NumberRange::between(0, 1)));
        region.outline_m = outline(table);
        site.ground.regions.push_back(std::move(region));
    }
}

}  // namespace noonshell
