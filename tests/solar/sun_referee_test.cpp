// Against an independent library: positions written by referee/sun_referee.mjs. Its theory of the
// earth's orbit, its nutation, its parallax and its turning of axes share no code with ours.
#include <gtest/gtest.h>

#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <numbers>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

#include "solar/sun_position.hpp"

namespace noonshell {
namespace {

constexpr double deg = std::numbers::pi / 180.0;

struct RefereeRow {
    SunPositionInput input;
    double azimuth_deg = 0;
    double elevation_deg = 0;
};

RefereeRow parse_row(const std::string& line) {
    std::vector<double> value;
    std::istringstream cells(line);
    for (std::string cell; std::getline(cells, cell, ',');) value.push_back(std::stod(cell));
    if (value.size() != 7) throw std::runtime_error("not seven numbers: " + line);
    RefereeRow row;
    row.input.instant_utc = std::chrono::sys_time<std::chrono::milliseconds>(
        std::chrono::milliseconds(std::llround(value[0])));
    row.input.latitude_deg = value[1];
    row.input.longitude_deg = value[2];
    row.input.elevation_m = value[3];
    row.input.delta_t_s = value[4];  // the same TT - UT1 for both
    row.azimuth_deg = value[5];
    row.elevation_deg = value[6];
    return row;
}

std::vector<RefereeRow> read_rows() {
    const char* file = std::getenv("NOONSHELL_SUN_REFEREE_CSV");
    if (file == nullptr) throw std::runtime_error("NOONSHELL_SUN_REFEREE_CSV is not set");
    std::ifstream in(file);
    if (!in) throw std::runtime_error(std::string("cannot read ") + file);
    std::vector<RefereeRow> rows;
    std::string line;
    std::getline(in, line);
    EXPECT_EQ(line,
              "utc_ms,latitude_deg,longitude_deg,elevation_m,delta_t_s,azimuth_deg,elevation_deg");
    while (std::getline(in, line)) rows.push_back(parse_row(line));
    return rows;
}

double separation_deg(const Vec3& a, const Vec3& b) {
    return std::atan2(a.cross(b).norm(), a.dot(b)) / deg;
}

/// As the other library counts it for delta T: mean tropical years, 2000 begins 14 days after the
/// noon of 1 January.
double decimal_year(const SunPositionInput& input) {
    const double days = static_cast<double>(input.instant_utc.time_since_epoch().count()) / 864e5;
    return 2000.0 + (days - 10957.5 - 14.0) / 365.24217;
}

TEST(SunReferee, TopocentricWithoutRefraction) {
    const std::vector<RefereeRow> rows = read_rows();
    ASSERT_GE(rows.size(), 600u);
    double worst_deg = 0.0;
    for (const auto& row : rows) {
        const SunPositionDetail ours = sun_position_detail(row.input);
        const double apart_deg =
            separation_deg(direction_in_model_axes(ours.position.azimuth_deg, ours.e0_deg, 0.0),
                           direction_in_model_axes(row.azimuth_deg, row.elevation_deg, 0.0));
        worst_deg = std::max(worst_deg, apart_deg);
        EXPECT_LT(apart_deg, 0.01)
            << "latitude " << row.input.latitude_deg << ", year " << decimal_year(row.input);
    }
    RecordProperty("worst_deg", std::to_string(worst_deg));
}

TEST(SunReferee, DeltaT) {
    for (const auto& row : read_rows()) {
        EXPECT_NEAR(estimated_delta_t_s(decimal_year(row.input)), row.input.delta_t_s, 1e-3)
            << decimal_year(row.input);
    }
}

}  // namespace
}  // namespace noonshell
