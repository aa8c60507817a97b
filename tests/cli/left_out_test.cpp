// How the page and the document of `inspect` tell what was left out.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <string>

#include "cli/inspection.hpp"

namespace noonshell::test {
namespace {

using testing::HasSubstr;
using testing::Not;

Inspection with_losses() {
    Inspection inspection;
    inspection.no_unit = "none";
    inspection.model.left_out = {
        {.entity = "#88", .name = "wall", .reason = "first", .area_m2 = 12.5, .body = "mess"},
        {.entity = "#99",
         .name = {},
         .reason = "second",
         .area_m2 = 3.25,
         .area_known = false,
         .body = "store",
         .count = 4}};
    return inspection;
}

TEST(LeftOutOnThePage, AnUnknownAreaIsADash) {
    const std::string page = inspection_page(with_losses());
    EXPECT_THAT(page, HasSubstr("Left out (5)"));
    EXPECT_THAT(page, testing::ContainsRegex("#88 +mess: wall +12.50  first"));
    EXPECT_THAT(page, testing::ContainsRegex("#99 +store +-  second"));
    EXPECT_THAT(page, Not(HasSubstr("3.25")));
}

TEST(LeftOutInTheDocument, AnUnknownAreaIsNull) {
    const auto rows = nlohmann::json::parse(inspection_json(with_losses())).at("left_out");
    ASSERT_EQ(rows.size(), 2u);
    EXPECT_EQ(rows[0].at("area_m2"), 12.5);
    EXPECT_EQ(rows[0].at("body"), "mess");
    EXPECT_EQ(rows[0].at("name"), "wall");
    EXPECT_EQ(rows[0].at("count"), 1);
    EXPECT_TRUE(rows[1].at("area_m2").is_null());
    EXPECT_EQ(rows[1].at("count"), 4);
}

}  // namespace
}  // namespace noonshell::test
