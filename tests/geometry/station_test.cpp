// The demo's STEP file against closed forms from the ISO 668 sizes (6.058 and 12.192 m long, 2.438
// m wide, 2.591 and 2.896 m high), worked out by hand: boxes and overlapping rectangles. The same
// figures stand in models/README.md and are checked there too.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <map>
#include <regex>
#include <string>
#include <vector>

#include "geometry/envelope.hpp"
#include "geometry/roles.hpp"
#include "geometry/step_reader.hpp"

namespace noonshell {
namespace {

constexpr double l20 = 6.058, l40 = 12.192, w = 2.438, h = 2.591, hc = 2.896;

struct Box {
    const char* name;
    double length_m, height_m;
    double floor_m2() const { return length_m * w; }
    double area_m2() const { return 2 * (length_m * w + length_m * height_m + w * height_m); }
    double volume_m3() const { return length_m * w * height_m; }
};

const std::vector<Box>& units() {
    static const std::vector<Box> list{
        {"mess", l40, hc},  {"kitchen", l20, h}, {"store", l20, h},   {"workshop", l40, hc},
        {"lab-1", l20, h},  {"lab-2", l20, h},   {"clinic", l20, h},  {"bunk-1", l20, h},
        {"bunk-2", l20, h}, {"office", l40, hc}, {"bridge", l40, hc}, {"bunk-3", l20, h}};
    return list;
}

struct Touch {
    const char *a, *b;  // b empty: the ground
    double area_m2, gap_m;
};

// Overlapping rectangles from the corners in models/make_station.cpp.
const std::vector<Touch>& touches() {
    static const std::vector<Touch> list{
        {"mess/wall-n", "store/wall-s", l20 * h, 0.020},
        {"mess/wall-n", "workshop/wall-s", (l40 - 6.078) * hc, 0.020},
        {"kitchen/wall-n", "workshop/wall-s", l20 * h, 0.020},
        {"mess/wall-e", "kitchen/wall-w", w * h, 0.020},
        {"store/wall-e", "workshop/wall-w", w * h, 0.020},
        {"lab-1/wall-e", "lab-2/wall-w", w * h, 0.020},
        {"bunk-1/wall-e", "bunk-2/wall-w", l20 * h, 0.020},
        {"mess/roof", "bunk-1/floor", w * w, 0.010},
        {"store/roof", "bunk-1/floor", w * w, 0.010},
        {"mess/roof", "bunk-2/floor", w * w, 0.010},
        {"store/roof", "bunk-2/floor", w * w, 0.010},
        {"mess/roof", "office/floor", (l40 - 9.000) * (w - 1.200), 0.010},
        {"kitchen/roof", "office/floor", l20 * (w - 1.200), 0.010},
        {"workshop/roof", "office/floor", (18.270 - 9.000) * (1.200 + w - 2.458), 0.010},
        {"workshop/roof", "bridge/floor", w * (2.458 + w - 4.000), 0.010},
        {"lab-2/roof", "bridge/floor", w * w, 0.010},
        {"lab-1/roof", "bunk-3/floor", (l20 - 3.039) * (12.200 + w - 13.000), 0.010},
        {"lab-2/roof", "bunk-3/floor", (3.039 + l20 - 6.078) * (12.200 + w - 13.000), 0.010},
        {"mess/floor", "", l40 * w, 0},
        {"workshop/floor", "", l40 * w, 0},
        {"clinic/floor", "", l20 * w, 0}};
    return list;
}

const std::vector<std::string> shade_names{"canopy-1", "canopy-2", "overhang", "fin"};

class Station : public testing::Test {
  protected:
    static void SetUpTestSuite() {
        model_ = read_step(std::string(NOONSHELL_SOURCE_DIR) + "/models/station.step");
        EnvelopeOptions options;
        options.north_deg = 14.0;
        options.ground_z_m = 0.0;
        RolePatterns patterns;
        for (const Box& box : units()) patterns.units.emplace_back(box.name);
        patterns.shades = shade_names;
        std::vector<Warning> warnings;
        envelope_ = build_envelope(model_, choose_roles(model_, patterns, {}, warnings), options);
    }

    static const Body& body(const std::string& name) {
        const auto found = std::find_if(model_.bodies.begin(), model_.bodies.end(),
                                        [&](const Body& b) { return b.name == name; });
        if (found == model_.bodies.end()) throw std::runtime_error("no body " + name);
        return *found;
    }
    static const Surface& surface(const std::string& id) {
        const auto found = std::find_if(envelope_.surfaces.begin(), envelope_.surfaces.end(),
                                        [&](const Surface& s) { return s.id == id; });
        if (found == envelope_.surfaces.end()) throw std::runtime_error("no surface " + id);
        return *found;
    }
    static const std::string& id(SurfaceId surface) {
        static const std::string ground;
        return surface.valid() ? envelope_.surfaces[surface.index()].id : ground;
    }

    static Model model_;
    static Envelope envelope_;
};
Model Station::model_;
Envelope Station::envelope_;

TEST_F(Station, HasTwelveUnitsAndFourShadesWithTheAreasAndVolumesOfTheirBoxes) {
    ASSERT_EQ(model_.bodies.size(), units().size() + shade_names.size());
    ASSERT_EQ(envelope_.units.size(), units().size());
    for (const Box& box : units()) {
        EXPECT_TRUE(body(box.name).solid) << box.name;
        EXPECT_EQ(body(box.name).n_faces, 6u) << box.name;
        EXPECT_NEAR(body(box.name).area_m2, box.area_m2(), 1e-9) << box.name;
        EXPECT_NEAR(body(box.name).volume_m3, box.volume_m3(), 1e-9) << box.name;
    }
    for (const Unit& unit : envelope_.units) {
        const auto box = std::find_if(units().begin(), units().end(),
                                      [&](const Box& b) { return unit.id == b.name; });
        ASSERT_NE(box, units().end()) << unit.id;
        EXPECT_NEAR(unit.floor_area_m2, box->floor_m2(), 1e-6) << unit.id;
        EXPECT_NEAR(unit.volume_m3, box->volume_m3(), 1e-6) << unit.id;
    }
    EXPECT_NEAR(body("canopy-1").volume_m3, 5.5 * 6.9 * 0.05, 1e-9);
    EXPECT_NEAR(body("canopy-2").volume_m3, 6.7 * 3.0 * 0.05, 1e-9);  // a slope keeps the volume
    EXPECT_NEAR(body("overhang").volume_m3, 5.6 * 1.2 * 0.06, 1e-9);
    EXPECT_NEAR(body("fin").volume_m3, 0.06 * 1.6 * 2.32, 1e-9);
}

TEST_F(Station, HasSixSurfacesPerUnitNamedByTheCompass) {
    // +Y at 14 degrees: the four sides face 14, 104, 194 and 284, nearest to n, e, s and w.
    const std::map<std::string, double> azimuth_of{
        {"wall-n", 14}, {"wall-e", 104}, {"wall-s", 194}, {"wall-w", 284}};
    for (const Box& box : units()) {
        const std::string name = box.name;
        EXPECT_NEAR(surface(name + "/roof").area_m2, box.floor_m2(), 1e-6) << name;
        EXPECT_NEAR(surface(name + "/floor").area_m2, box.floor_m2(), 1e-6) << name;
        const bool across = name == "bunk-1" || name == "bunk-2" || name == "bridge";
        for (const auto& [side, azimuth_deg] : azimuth_of) {
            const Surface& wall = surface(name + "/" + side);
            const bool long_side = (side == "wall-e" || side == "wall-w") == across;
            EXPECT_NEAR(wall.area_m2, (long_side ? box.length_m : w) * box.height_m, 1e-6)
                << wall.id;
            EXPECT_NEAR(wall.azimuth_deg, azimuth_deg, 1e-6) << wall.id;
            EXPECT_NEAR(wall.tilt_deg, 90, 1e-6) << wall.id;
        }
    }
}

TEST_F(Station, HasTheContactsOfItsOverlappingRectangles) {
    std::map<std::pair<std::string, std::string>, const Contact*> seen;
    for (const Contact& contact : envelope_.contacts) {
        seen[{id(contact.a), id(contact.b)}] = &contact;
        if (!contact.on_ground()) seen[{id(contact.b), id(contact.a)}] = &contact;
    }
    for (const Touch& touch : touches()) {
        const auto found = seen.find({touch.a, touch.b});
        ASSERT_NE(found, seen.end()) << touch.a << " and " << touch.b;
        EXPECT_NEAR(found->second->area_m2, touch.area_m2, 1e-6) << touch.a << " and " << touch.b;
        EXPECT_NEAR(found->second->gap_m, touch.gap_m, 1e-6) << touch.a << " and " << touch.b;
    }
    EXPECT_EQ(envelope_.contacts.size(), touches().size());
}

TEST_F(Station, LeavesOpenWhatNoContactCovers) {
    std::map<std::string, double> covered_m2;
    for (const Touch& touch : touches()) {
        covered_m2[touch.a] += touch.area_m2;
        if (*touch.b != '\0') covered_m2[touch.b] += touch.area_m2;
    }
    double exposed_m2 = 0, by_hand_m2 = 0;
    for (const Surface& s : envelope_.surfaces) {
        EXPECT_NEAR(s.exposed_area_m2, s.area_m2 - covered_m2[s.id], 1e-6) << s.id;
        double open_facets_m2 = 0;
        for (std::uint32_t f = s.first_facet; f < s.first_facet + s.n_facets; ++f) {
            if (envelope_.facets.covered[f] == 0) open_facets_m2 += envelope_.facets.area_m2[f];
        }
        EXPECT_NEAR(open_facets_m2, s.exposed_area_m2, 1e-6) << s.id;
        if (s.unit.valid()) exposed_m2 += s.exposed_area_m2;
    }
    for (const Box& box : units()) by_hand_m2 += box.area_m2();
    for (const auto& [name, area_m2] : covered_m2) by_hand_m2 -= area_m2;
    EXPECT_NEAR(exposed_m2, by_hand_m2, 1e-5);
}

TEST_F(Station, SlopesTheSecondCanopyByFiveDegrees) {
    const auto steepest = std::find_if(
        envelope_.surfaces.begin(), envelope_.surfaces.end(),
        [](const Surface& s) { return s.id.rfind("canopy-2/", 0) == 0 && s.normal.z() > 0.9; });
    ASSERT_NE(steepest, envelope_.surfaces.end());
    EXPECT_NEAR(steepest->tilt_deg, 5.0, 1e-6);
    EXPECT_NEAR(steepest->area_m2, 6.7 * 3.0, 1e-6);
    EXPECT_NEAR(steepest->azimuth_deg, 194.0, 1e-6);  // its north side is the high one
}

// Rows such as "| mess | 12.192 x 2.438 x 2.896 | 29.724 | 144.184 | 86.081 |" of models/README.md.
TEST(StationReadme, StatesTheClosedFormsThatAreTestedHere) {
    std::ifstream file(std::string(NOONSHELL_SOURCE_DIR) + "/models/README.md");
    std::map<std::string, std::vector<double>> rows;
    const std::regex number(R"([0-9]+\.[0-9]+)");
    for (std::string line; std::getline(file, line);) {
        if (line.rfind("| ", 0) != 0) continue;
        const std::size_t end = line.find(" |", 2);
        std::vector<double>& row = rows[line.substr(2, end - 2)];
        for (std::sregex_iterator
                 it(line.begin() + static_cast<std::ptrdiff_t>(end), line.end(), number),
             last;
             it != last; ++it) {
            row.push_back(std::stod(it->str()));
        }
    }
    // A row's last numbers; what stands before them is how they come about.
    const auto expect_row = [&](const std::string& name, const std::vector<double>& values) {
        const std::vector<double>& row = rows[name];
        ASSERT_GE(row.size(), values.size()) << name;
        for (std::size_t i = 0; i < values.size(); ++i) {
            EXPECT_NEAR(row[row.size() - values.size() + i], values[i], 0.00051)
                << name << ", number " << i + 1;
        }
    };
    std::vector<double> sums(3, 0.0);
    for (const Box& box : units()) {
        expect_row(box.name,
                   {box.length_m, w, box.height_m, box.floor_m2(), box.area_m2(), box.volume_m3()});
        sums[0] += box.floor_m2();
        sums[1] += box.area_m2();
        sums[2] += box.volume_m3();
    }
    expect_row("all twelve", sums);
    double between_m2 = 0, ground_m2 = 0;
    for (const Touch& touch : touches()) {
        const bool ground = *touch.b == '\0';
        (ground ? ground_m2 : between_m2) += touch.area_m2;
        expect_row(std::string(touch.a) + " on " + (ground ? "the ground" : touch.b),
                   {touch.area_m2});
    }
    expect_row("between units, together", {between_m2});
    expect_row("on the ground, together", {ground_m2});
    expect_row("outer area less what is covered", {sums[1] - 2 * between_m2 - ground_m2});
}

}  // namespace
}  // namespace noonshell
