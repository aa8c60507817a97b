// What may stand together, against the rules written out by hand for small lists.
#include "thermal/treatment_rules.hpp"

#include <gtest/gtest.h>

#include <array>
#include <string>
#include <vector>

#include "geometry/diagnostics.hpp"

namespace noonshell {
namespace {

std::vector<Treatment> one_of_each_kind() {
    std::vector<Treatment> list(3);
    list[0].name = "paint";
    list[1].name = "foam";
    list[1].kind = TreatmentKind::outside_insulation;
    list[2].name = "screen";
    list[2].kind = TreatmentKind::vented_cladding;
    return list;
}

std::string complaint_of(const std::vector<Treatment>& list) {
    try {
        validate_together(list);
    } catch (const InputError& error) {
        return error.what();
    }
    return {};
}

TEST(TreatmentRules, WithoutRulesAllMayStandTogether) {
    const auto list = one_of_each_kind();
    EXPECT_EQ(complaint_of(list), "");
    EXPECT_TRUE(may_stand_together(std::array<std::size_t, 3>{0, 1, 2}, list));
}

TEST(TreatmentRules, ExclusionHoldsBothWays) {
    auto list = one_of_each_kind();
    list[2].excludes = {"foam"};
    EXPECT_FALSE(may_stand_together(std::array<std::size_t, 2>{1, 2}, list));
    EXPECT_FALSE(may_stand_together(std::array<std::size_t, 3>{0, 1, 2}, list));
    EXPECT_TRUE(may_stand_together(std::array<std::size_t, 2>{0, 2}, list));
}

TEST(TreatmentRules, WhatIsNeededMustBeThere) {
    auto list = one_of_each_kind();
    list[2].needs = {"foam"};
    EXPECT_FALSE(may_stand_together(std::array<std::size_t, 1>{2}, list));
    EXPECT_TRUE(may_stand_together(std::array<std::size_t, 2>{1, 2}, list));
    EXPECT_TRUE(may_stand_together(std::array<std::size_t, 1>{1}, list));
}

TEST(TreatmentRules, NeedsInACircleAreTold) {
    auto list = one_of_each_kind();
    list[0].needs = {"foam"};
    list[1].needs = {"screen"};
    EXPECT_EQ(complaint_of(list), "");
    list[2].needs = {"paint"};
    const std::string told = complaint_of(list);
    EXPECT_NE(told.find("\"paint\" needs \"foam\" needs \"screen\" needs \"paint\""),
              std::string::npos)
        << told;
}

TEST(TreatmentRules, NeedsThatContradictAreTold) {
    auto list = one_of_each_kind();
    list[0].needs = {"foam"};
    list[1].needs = {"screen"};
    list[2].excludes = {"paint"};  // needed by what paint needs
    EXPECT_NE(complaint_of(list).find("exclude each other"), std::string::npos);
    auto same = one_of_each_kind();
    same[1].kind = TreatmentKind::coating;
    same[0].needs = {"foam"};
    EXPECT_NE(complaint_of(same).find("of one kind"), std::string::npos);
}

TEST(TreatmentRules, NamesAndPricesAreChecked) {
    auto list = one_of_each_kind();
    list[0].excludes = {"tiles"};
    EXPECT_NE(complaint_of(list).find("\"tiles\""), std::string::npos);
    list[0].excludes = {"paint"};
    EXPECT_NE(complaint_of(list).find("its own"), std::string::npos);
    list[0].excludes.clear();
    list[0].call_out = list[1].call_out = "scaffold";
    list[0].call_out_cost = list[1].call_out_cost = 300;
    EXPECT_EQ(complaint_of(list), "");
    list[1].call_out_cost = 301;
    EXPECT_NE(complaint_of(list).find("scaffold"), std::string::npos);
}

TEST(TreatmentRules, AreasWasteAndUpkeepByHand) {
    Treatment coat;
    coat.fixed_cost = 30;
    coat.cost_per_m2 = 14;
    coat.waste_share = 0.1;
    coat.upkeep_per_m2_year = 0.5;
    coat.recoat_per_m2 = 6;
    coat.recoat_years = 4;
    EXPECT_DOUBLE_EQ(ordered_area_m2(coat, 20), 22);
    EXPECT_DOUBLE_EQ(cost_of(coat, 20), 30 + 14 * 22);
    EXPECT_DOUBLE_EQ(upkeep_per_year(coat, 20), 20 * (0.5 + 6.0 / 4));
    Surface wall;
    wall.id = "hut/wall-s";
    wall.kind = SurfaceKind::wall;
    wall.unit = UnitId(std::size_t{0});
    wall.exposed_area_m2 = 8;
    EXPECT_TRUE(fits(coat, wall));
    coat.least_area_m2 = 8.1;
    EXPECT_FALSE(fits(coat, wall));
    coat.least_area_m2 = 8;
    EXPECT_TRUE(fits(coat, wall));
    coat.not_on = {"*/wall-s"};
    EXPECT_FALSE(fits(coat, wall));
}

}  // namespace
}  // namespace noonshell
