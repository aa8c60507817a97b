// A small invented site for the tests of the commands: two units side by side, one design day.
#pragma once

#include <string>
#include <vector>

#include "geometry/block_writer.hpp"
#include "tests/cli/program.hpp"

namespace noonshell::test {

/// ISO 668 twenty-foot outside sizes [m].
inline const Vec3 twenty_foot_m{6.058, 2.438, 2.591};

inline Block block(const std::string& name, const Vec3& size_m,
                   const Vec3& corner_m = Vec3::Zero()) {
    Block made;
    made.name = name;
    made.size_m = size_m;
    made.corner_m = corner_m;
    return made;
}

inline void write_two_units(const std::filesystem::path& file) {
    write_blocks({block("unit-1", twenty_foot_m), block("unit-2", twenty_foot_m, {0, 2.458, 0})},
                 file);
}

inline const std::string place_toml =
    "[site]\nlatitude_deg = 27\nlongitude_deg = 30\ntime_zone = \"Africa/Cairo\"\n";
inline const std::string design_day_toml = "[weather.design_day]\npeak_dry_bulb_c = 42\n";
inline const std::string coarse_toml =
    "[run]\nsun_step_min = 60\npoints_per_facet = 2\nrays_per_facet = 64\n";

/// Invented normals without seasons.
inline std::string equal_months(const std::string& key, const std::string& value) {
    std::string line = key + " = [" + value;
    for (int month = 1; month < 12; ++month) line += ", " + value;
    return line + "]\n";
}
inline const std::string twelve_equal_months_toml =
    "[weather]\n" + equal_months("mean_high_c", "35") + equal_months("mean_low_c", "20") +
    equal_months("dew_point_c", "5") + equal_months("wind_m_s", "3") +
    equal_months("tau_b", "0.4") + equal_months("tau_d", "2.2");

/// A site that runs in a second: coarse facets, hourly suns, one design day.
inline std::string quick_site_toml() {
    return place_toml + "[model]\nfile = \"site.step\"\nfacet_size_m = 2\n" + design_day_toml +
           coarse_toml;
}

/// Writes site.step and site.toml; returns the latter's path.
inline std::string write_site(const Folder& folder, const std::string& toml) {
    write_two_units(folder / "site.step");
    return folder.write("site.toml", toml);
}

}  // namespace noonshell::test
