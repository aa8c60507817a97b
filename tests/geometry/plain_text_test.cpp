#include "geometry/plain_text.hpp"

#include <gtest/gtest.h>

#include "geometry/body_measure.hpp"
#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

TEST(PlainText, CountsAgreeInNumber) {
    EXPECT_EQ(counted(0, "curve"), "0 curves");
    EXPECT_EQ(counted(1, "curve"), "1 curve");
    EXPECT_EQ(counted(2, "curve"), "2 curves");
    EXPECT_EQ(counted(1, "body", "bodies"), "1 body");
    EXPECT_EQ(counted(3, "body", "bodies"), "3 bodies");
}

TEST(PlainText, FiguresKeepThreeDigitsAndOneStyle) {
    EXPECT_EQ(plain_figure(0), "0");
    EXPECT_EQ(plain_figure(0.1524), "0.152");
    EXPECT_EQ(plain_figure(-86.08), "-86.1");
    EXPECT_EQ(plain_figure(668.05), "668");
    EXPECT_EQ(plain_figure(999.9), "1000");
    EXPECT_EQ(plain_figure(9762.9), "9763");
    EXPECT_EQ(plain_figure(6.42e6), "6420000");
    EXPECT_EQ(plain_figure(5.6549e10), "5.65e+10");
    EXPECT_EQ(plain_figure(2e-5), "2e-05");
}

/// A shell with floor and walls, 6 x 3 x 2.5 m; with `lid` a piece of the roof that covers a share.
Model open_box(double lid, bool upside_down) {
    Model model;
    model.bodies.emplace_back();
    model.bodies.back().n_faces = 0;
    const double l = 6, w = 3, h = 2.5;
    const double low = upside_down ? h : 0, high = h - low;
    const auto quad = [&](const Vec3& a, const Vec3& b, const Vec3& c, const Vec3& d) {
        test_models::add_face(model, {{a, b, c, d}});
    };
    quad({0, 0, low}, {0, w, low}, {l, w, low}, {l, 0, low});
    quad({0, 0, low}, {l, 0, low}, {l, 0, high}, {0, 0, high});
    quad({l, 0, low}, {l, w, low}, {l, w, high}, {l, 0, high});
    quad({l, w, low}, {0, w, low}, {0, w, high}, {l, w, high});
    quad({0, w, low}, {0, 0, low}, {0, 0, high}, {0, w, high});
    if (lid > 0) quad({0, 0, high}, {lid * l, 0, high}, {lid * l, w, high}, {0, w, high});
    return model;
}

TEST(BodyMeasure, KnowsTheSideThatAShellLacks) {
    EXPECT_EQ(measure_body(open_box(0, false), BodyId(0)).open_side, "above");
    EXPECT_EQ(measure_body(open_box(0, true), BodyId(0)).open_side, "below");
    EXPECT_EQ(measure_body(open_box(0.05, false), BodyId(0)).open_side, "above");
    EXPECT_EQ(measure_body(open_box(0.5, false), BodyId(0)).open_side, "");
}

}  // namespace
}  // namespace noonshell
