#include "thermal/planned_shade.hpp"

#include <cmath>
#include <string>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

std::vector<double> lengths_of(const LengthRange& range, std::size_t n) {
    if (!range.is_open()) return {range.low_m};
    std::vector<double> lengths;
    for (std::size_t i = 0; i < n; ++i) {
        const double share = static_cast<double>(i) / static_cast<double>(n - 1);
        lengths.push_back(range.low_m + share * (range.high_m - range.low_m));
    }
    return lengths;
}

}  // namespace

const std::string& PlannedShade::name() const {
    if (!form.roofs.empty()) return form.roofs.front().name;
    return form.overhangs.empty() ? form.fins.front().name : form.overhangs.front().name;
}

std::string_view PlannedShade::kind() const {
    if (!form.roofs.empty()) return "shade roof";
    return form.overhangs.empty() ? "fin" : "overhang";
}

void validate(const PlannedShade& shade) {
    NOONSHELL_CHECK_EQ(
        shade.form.roofs.size() + shade.form.overhangs.size() + shade.form.fins.size(), 1u);
    const auto require = [&](bool holds, const char* field, const char* expected, double seen) {
        if (holds) return;
        throw InputError({.entity = "planned shade \"" + shade.name() + "\": " + field}, expected,
                         std::to_string(seen));
    };
    const auto none_or_more = [&](const char* field, double value) {
        require(value >= 0 && std::isfinite(value), field, "0 or more", value);
    };
    none_or_more("cost_per_m2", shade.cost_per_m2);
    none_or_more("cost_per_piece", shade.cost_per_piece);
    none_or_more("call_out_cost", shade.call_out_cost);
    none_or_more("upkeep_per_m2_year", shade.upkeep_per_m2_year);
    require(shade.call_out_cost <= 0 || !shade.call_out.empty(), "call_out_cost",
            "a call_out that it is the price of", shade.call_out_cost);
    require(shade.life_years > 0, "life_years", "more than 0", shade.life_years);
    require(shade.sizes >= 2, "sizes", "2 or more", static_cast<double>(shade.sizes));
    const auto check_range = [&](const char* field, const LengthRange& range, bool may_be_none) {
        require(may_be_none ? range.low_m >= 0 : range.low_m > 0, field,
                may_be_none ? "a length from 0" : "a length above 0", range.low_m);
        require(range.high_m >= range.low_m && std::isfinite(range.high_m), field,
                "an upper end no shorter than the lower one", range.high_m);
    };
    check_range("reach_m", shade.reach_m, shade.is_roof());
    if (shade.is_roof()) check_range("height_m", shade.height_m, true);
}

ShadeSettings sized(const PlannedShade& shade, const ShadeSize& size) {
    ShadeSettings settings = shade.form;
    for (ShadeRoof& roof : settings.roofs) {
        roof.overhang_m.fill(size.reach_m);
        roof.height_m = size.height_m;
    }
    for (Overhang& overhang : settings.overhangs) overhang.depth_m = size.reach_m;
    for (Fin& fin : settings.fins) fin.depth_m = size.reach_m;
    return settings;
}

std::vector<ShadeSize> first_sizes(const PlannedShade& shade) {
    std::vector<ShadeSize> sizes;
    for (const double height_m : lengths_of(shade.height_m, shade.sizes)) {
        for (const double reach_m : lengths_of(shade.reach_m, shade.sizes))
            sizes.push_back({reach_m, height_m});
    }
    return sizes;
}

double cost_of(const PlannedShade& shade, const ShadeMeasure& measure) {
    return shade.cost_per_m2 * measure.area_m2 +
           shade.cost_per_piece * static_cast<double>(measure.pieces);
}

double upkeep_per_year(const PlannedShade& shade, const ShadeMeasure& measure) {
    return shade.upkeep_per_m2_year * measure.area_m2;
}

}  // namespace noonshell
