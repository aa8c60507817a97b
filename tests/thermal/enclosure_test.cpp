// Longwave among the faces of a room against exact view factors and radiosity: Howell's catalogue
// C-11 (opposed rectangles) and C-14 (rectangles with a common edge), equations of an enclosure of
// grey, diffuse faces ([incropera] ch. 13), solved here for themselves.
#include "thermal/enclosure.hpp"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <vector>

#include "tests/support/hand_building.hpp"
#include "tests/support/view_factors.hpp"
#include "thermal/heat_patches.hpp"
#include "thermal/inside_face.hpp"
#include "thermal/simulate.hpp"

namespace noonshell {
namespace {

constexpr std::size_t n_sides = 6;
using OfSides = Eigen::Matrix<double, n_sides, 1>;

/// Faces as add_free_unit() has them: roof, walls n e s w, floor. Walls n and s are x long.
struct Box {
    OfSides area_m2;
    Eigen::Matrix<double, n_sides, n_sides> factor = decltype(factor)::Zero();

    Box(double x, double y, double z) {
        area_m2 << x * y, x * z, y * z, x * z, y * z, x * y;
        const auto both = [this](int a, int b, double from_a) {
            factor(a, b) = from_a;
            factor(b, a) = from_a * area_m2(a) / area_m2(b);
        };
        both(0, 5, view_factors::opposed(x, y, z));
        both(1, 3, view_factors::opposed(x, z, y));
        both(2, 4, view_factors::opposed(y, z, x));
        for (const int level : {0, 5}) {
            for (const int wall : {1, 3}) both(level, wall, view_factors::perpendicular(x, y, z));
            for (const int wall : {2, 4}) both(level, wall, view_factors::perpendicular(y, x, z));
        }
        for (const int a : {1, 3}) {
            for (const int b : {2, 4}) both(a, b, view_factors::perpendicular(z, x, y));
        }
    }
};

double sent_w_m2(double celsius) {
    return 5.670374419e-8 * std::pow(celsius + 273.15, 4);
}

/// Net heat from every face by radiosity [W]: J = e sigma T^4 + (1 - e) F J, q = A (J - F J).
OfSides by_radiosity(const Box& box, const OfSides& emittance, const OfSides& face_c) {
    const OfSides own = emittance.cwiseProduct(face_c.unaryExpr(&sent_w_m2));
    const OfSides thrown_back = OfSides::Ones() - emittance;
    const OfSides leaving = (Eigen::Matrix<double, n_sides, n_sides>::Identity() -
                             thrown_back.asDiagonal() * box.factor)
                                .fullPivLu()
                                .solve(own);
    return box.area_m2.cwiseProduct(leaving - box.factor * leaving);
}

/// Heat from faces at given temperatures to the radiant node where that gains nothing [W].
std::vector<double> by_network(const std::vector<InsideFace>& faces,
                               const std::vector<double>& face_c) {
    double node_c = face_c.front();
    for (int round = 0; round < 50; ++round) {
        double sum_w = 0, sum_w_k = 0;
        for (std::size_t i = 0; i < faces.size(); ++i) {
            const double w_k = faces[i].area_m2 *
                               inside_films(faces[i], face_c[i], node_c, node_c).radiative_w_m2k;
            sum_w_k += w_k;
            sum_w += w_k * face_c[i];
        }
        node_c = sum_w / sum_w_k;
    }
    std::vector<double> out_w;
    for (std::size_t i = 0; i < faces.size(); ++i)
        out_w.push_back(faces[i].area_m2 *
                        inside_films(faces[i], face_c[i], node_c, node_c).radiative_w_m2k *
                        (face_c[i] - node_c));
    return out_w;
}

std::vector<InsideFace> faces_of(std::span<const double> area_m2, std::span<const double> emittance,
                                 std::span<const double> factor) {
    std::vector<InsideFace> faces(area_m2.size());
    for (std::size_t i = 0; i < faces.size(); ++i) {
        faces[i].area_m2 = area_m2[i];
        faces[i].emittance = emittance[i];
        faces[i].enclosure_factor = factor[i];
    }
    return faces;
}

/// Largest error of a face's heat over the largest heat of a face, and that of the hottest face
/// over its own.
struct Errors {
    double worst = 0, of_hottest = 0;
};

Errors errors_of(const Box& box, const OfSides& emittance, const OfSides& face_c,
                 std::span<const double> factor) {
    const OfSides exact_w = by_radiosity(box, emittance, face_c);
    const std::vector<double> out_w =
        by_network(faces_of({box.area_m2.data(), n_sides}, {emittance.data(), n_sides}, factor),
                   {face_c.data(), face_c.data() + n_sides});
    EXPECT_NEAR(std::accumulate(out_w.begin(), out_w.end(), 0.0), 0, 1e-6);
    Errors errors;
    Eigen::Index hottest = 0;
    face_c.maxCoeff(&hottest);
    for (Eigen::Index i = 0; i < exact_w.size(); ++i) {
        const double off = std::abs(out_w[static_cast<std::size_t>(i)] - exact_w(i));
        errors.worst = std::max(errors.worst, off / exact_w.cwiseAbs().maxCoeff());
        if (i == hottest) errors.of_hottest = off / std::abs(exact_w(i));
    }
    return errors;
}

std::vector<OfSides> emittances() {
    std::vector<OfSides> all(5);
    all[0].setConstant(0.9);
    all[1].setConstant(1.0);
    all[2].setConstant(0.3);
    all[3] << 0.1, 0.9, 0.9, 0.9, 0.9, 0.9;
    all[4] << 0.9, 0.9, 0.5, 0.9, 0.3, 0.84;
    return all;
}

std::vector<OfSides> temperatures_c() {
    std::vector<OfSides> all(5);
    all[0] << 60, 33, 30, 31, 32, 30;
    all[1] << 30, 60, 30, 30, 30, 30;
    all[2] << 30, 30, 60, 30, 30, 30;
    all[3] << 5, 20, 20, 20, 20, 20;
    all[4] << 20, 25, 40, 10, 30, 70;
    return all;
}

std::vector<double> factors_of(const Box& box) {
    return enclosure_factors(std::span<const double>{box.area_m2.data(), n_sides});
}

struct Shape {
    double x, y, z, worst;
};

TEST(Enclosure, BoxesOfManySurfacesFollowExactRadiosity) {
    for (const Shape& s : {Shape{6.058, 2.438, 2.591, 0.04}, Shape{12.192, 2.438, 2.591, 0.065},
                           Shape{6.058, 4.876, 2.591, 0.04}}) {
        const Box box(s.x, s.y, s.z);
        for (int i = 0; i < 6; ++i) ASSERT_NEAR(box.factor.row(i).sum(), 1, 1e-12);
        const std::vector<double> factor = factors_of(box);
        double worst = 0, worst_star = 0;
        for (const OfSides& emittance : emittances()) {
            for (const OfSides& face_c : temperatures_c()) {
                worst = std::max(worst, errors_of(box, emittance, face_c, factor).worst);
                worst_star = std::max(
                    worst_star,
                    errors_of(box, emittance, face_c, std::vector<double>(n_sides, 1.0)).worst);
            }
        }
        EXPECT_LT(worst, s.worst);
        EXPECT_GT(worst_star, 3 * worst);  // a star that holds each face itself is far off
    }
}

TEST(Enclosure, CubeIsExact) {
    const Box cube(3, 3, 3);
    for (const double f : factors_of(cube)) EXPECT_NEAR(f, 1.2, 1e-12);  // 1 / (1 - 1 / 6)
    for (const OfSides& emittance : emittances()) {
        for (const OfSides& face_c : temperatures_c())
            EXPECT_LT(errors_of(cube, emittance, face_c, factors_of(cube)).worst, 1e-3);
    }
}

// One face hot among faces of one temperature: F makes its own heat right.
TEST(Enclosure, OneHotFaceOfAContainerSendsWhatRadiositySays) {
    const Box box(6.058, 2.438, 2.591);
    for (const double e : {0.3, 0.9, 1.0}) {
        for (int hot = 0; hot < 6; ++hot) {
            OfSides face_c = OfSides::Constant(30);
            face_c(hot) = 60;
            EXPECT_LT(errors_of(box, OfSides::Constant(e), face_c, factors_of(box)).of_hottest,
                      0.003);
        }
    }
}

// Two large plates: sigma (T1^4 - T2^4) / (1 / e1 + 1 / e2 - 1).
TEST(Enclosure, TwoPlatesExchangeAsTextbooksHaveIt) {
    const std::array<double, 2> area_m2{50, 50};
    const std::vector<double> factor = enclosure_factors(std::span<const double>(area_m2));
    for (const double f : factor) EXPECT_NEAR(f, 2, 1e-9);
    for (const std::array<double, 2>& e :
         {std::array{0.9, 0.9}, std::array{0.05, 0.9}, std::array{1.0, 0.2}}) {
        const std::vector<double> out_w = by_network(faces_of(area_m2, e, factor), {55, 20});
        const double exact_w = 50 * (sent_w_m2(55) - sent_w_m2(20)) / (1 / e[0] + 1 / e[1] - 1);
        EXPECT_NEAR(out_w[0], exact_w, 1e-6 * exact_w);
        EXPECT_NEAR(out_w[1], -exact_w, 1e-6 * exact_w);
    }
    // The sides of a flat room no longer matter: C-11 tends to 1.
    const Box flat(400, 300, 1);
    OfSides face_c;
    face_c << 55, 37, 37, 37, 37, 20;
    EXPECT_LT(errors_of(flat, OfSides::Constant(0.9), face_c, factors_of(flat)).of_hottest, 0.005);
}

// A flat side wholly closed in by a bent one, as a small body in a large room:
// A1 / (1 / e1 + A1 / A2 (1 / e2 - 1)).
TEST(Enclosure, ASmallSideUnderABentOne) {
    const std::array<double, 2> area_m2{4, 40}, e{0.9, 0.8};
    const std::vector<double> factor = enclosure_factors(std::span<const double>(area_m2));
    const std::vector<double> out_w = by_network(faces_of(area_m2, e, factor), {55, 20});
    const double exact_w =
        4 * (sent_w_m2(55) - sent_w_m2(20)) / (1 / e[0] + 4.0 / 40.0 * (1 / e[1] - 1));
    EXPECT_NEAR(out_w[0], exact_w, 0.01 * exact_w);
}

TEST(Enclosure, FactorsObeyTheirEquation) {
    for (const std::vector<double>& area_m2 :
         {std::vector<double>{15, 16, 6, 16, 6, 15}, {3, 4, 5}, {9, 8, 0.9, 0.4}, {1, 0, 1, 1}}) {
        const std::vector<double> factor = enclosure_factors(area_m2);
        const double sum = std::inner_product(area_m2.begin(), area_m2.end(), factor.begin(), 0.0);
        for (std::size_t i = 0; i < area_m2.size(); ++i)
            EXPECT_NEAR(factor[i], 1 / (1 - area_m2[i] * factor[i] / sum), 1e-9) << i;
    }
    EXPECT_TRUE(enclosure_factors(std::span<const double>()).empty());
}

// A pane and a contact do not change what their wall's plane exchanges.
TEST(Enclosure, PartsOfOneSideShareItsFactor) {
    Envelope whole;
    test_models::add_free_unit(whole, "a", {6, 2.4, 2.6});
    Envelope parts = whole;
    parts.surfaces[3].area_m2 = parts.surfaces[3].exposed_area_m2 = 6 * 2.6 - 4;
    Surface pane = parts.surfaces[3];
    pane.id = "a/pane";
    pane.kind = SurfaceKind::pane;
    pane.area_m2 = pane.exposed_area_m2 = 4;
    parts.surfaces.push_back(pane);
    parts.surfaces[5].exposed_area_m2 -= 5;
    parts.contacts.push_back({SurfaceId(5), SurfaceId(), 5, 0});
    const std::vector<double> of_whole = enclosure_factors(whole),
                              of_parts = enclosure_factors(parts);
    for (std::size_t s = 0; s < n_sides; ++s) EXPECT_NEAR(of_parts[s], of_whole[s], 1e-9) << s;
    EXPECT_EQ(of_parts[6], of_parts[3]);
    EXPECT_GT(of_parts[6], 1.2);
}

// A whole run of thin steel, as warm inside as outside: what counts in the operative temperature is
// the mean of the faces by area, here all of one emittance, not that of the network's node.
TEST(Enclosure, OperativeTemperatureKeepsTheMeanOfTheFaces) {
    Envelope envelope;
    test_models::add_free_unit(envelope, "a", {6.058, 2.438, 2.591});
    const Building building =
        test_models::bare_building(envelope, test_models::sheet_of(0.002, 50, 7800, 450));
    const ExchangeMatrix exchange = test_models::free_exchange(envelope);
    const Exposure light = test_models::exposure_of(
        envelope, 24, [](std::size_t, const Surface& s) { return s.tilt_deg == 0 ? 900.0 : 0.0; });
    const Surroundings around =
        test_models::surroundings_of(24, 600, 10, [](double) { return 30.0; });
    const Response run = simulate({envelope, exchange, light, around}, building);
    double sent = 0, area_m2 = 0;
    for (std::size_t s = 0; s < n_sides; ++s) {
        const double a = envelope.surfaces[s].area_m2;
        sent += a * sent_w_m2(static_cast<double>(run.outside_c[23 * n_sides + s]));
        area_m2 += a;
    }
    const double mean_c = std::pow(sent / area_m2 / 5.670374419e-8, 0.25) - 273.15;
    EXPECT_GT(run.outside_c[23 * n_sides], 50);
    EXPECT_NEAR(static_cast<double>(run.operative_c[23]),
                0.5 * (static_cast<double>(run.air_c[23]) + mean_c), 0.02);
    EXPECT_LT(run.room_balance[0].residual(), 1e-9);
}

}  // namespace
}  // namespace noonshell
