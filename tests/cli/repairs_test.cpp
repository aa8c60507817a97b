// What was mended of bodies and of the skins of units stands on the page and in the document alike.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <string>

#include "cli/inspection.hpp"
#include "tests/cli/program.hpp"
#include "tests/support/hollow_bodies.hpp"
#include "tests/support/scratch_folder.hpp"

namespace noonshell::test {
namespace {

using testing::HasSubstr;

TEST(Repairs, StandOnThePageAndInTheDocument) {
    Inspection inspection;
    Body body;
    body.id = body.name = "mess-wall";
    body.repaired = {"first thing", "second thing"};
    inspection.model.bodies = {body};
    inspection.roles = {RoleChoice{}};
    Unit mended, whole;
    mended.id = "mess";
    mended.repaired = {"third thing", "fourth \"thing\""};
    whole.id = "store";
    inspection.envelope.units = {mended, whole};
    const std::string page = inspection_page(inspection);
    const auto document = nlohmann::json::parse(inspection_json(inspection));
    const std::vector<std::string> none;
    EXPECT_EQ(document.at("bodies").at(0).at("repaired"), body.repaired);
    EXPECT_EQ(document.at("units").at(0).at("repaired"), mended.repaired);
    EXPECT_EQ(document.at("units").at(1).at("repaired"), none);
    for (const std::string& what : body.repaired)
        EXPECT_THAT(page, HasSubstr("mess-wall: " + what));
    for (const std::string& what : mended.repaired) EXPECT_THAT(page, HasSubstr("mess: " + what));
}

// The width is the one that the shell was drawn with.
TEST(Repairs, GapsOfADrawnShellAreInTheDocument) {
    const test_support::ScratchFolder folder;
    const std::string file = (folder / "m.step").string();
    test_support::write_open_shell(file, {6, 2.4, 2.6}, 6, 20);
    const Outcome outcome = run_program({"inspect", file, "--json"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    const auto units = nlohmann::json::parse(outcome.out).at("units");
    ASSERT_EQ(units.size(), 1u);
    EXPECT_EQ(units[0].at("repaired"),
              std::vector<std::string>{"gaps up to 20 mm wide closed (limit 60 mm)"});
}

}  // namespace
}  // namespace noonshell::test
