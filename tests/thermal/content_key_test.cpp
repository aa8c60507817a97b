// Keys against the examples that NIST publishes for SHA-256 (from memory, and the same as sha256sum
// gives), and what a run gives back from its bytes.
#include "thermal/content_key.hpp"

#include <gtest/gtest.h>

#include <array>
#include <map>
#include <mutex>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "tests/support/row_of_units.hpp"
#include "thermal/kept_runs.hpp"
#include "thermal/planner.hpp"

namespace noonshell {
namespace {

using namespace test_models;

std::string digest(const std::string& text) {
    ContentKey key;
    key.add_bytes(std::as_bytes(std::span(text)));
    return key.hex();
}

TEST(ContentKey, GivesThePublishedDigests) {
    EXPECT_EQ(digest(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    EXPECT_EQ(digest("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    EXPECT_EQ(digest("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
              "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    EXPECT_EQ(digest(std::string(1000000, 'a')),
              "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST(ContentKey, TextsDoNotRunIntoEachOther) {
    ContentKey a, b;
    a.add(std::string_view("ab"));
    a.add(std::string_view("c"));
    b.add(std::string_view("a"));
    b.add(std::string_view("bc"));
    EXPECT_NE(a.hex(), b.hex());
}

/// A store in memory that can forget and counts.
class StoreInMemory : public TrialStore {
  public:
    std::optional<std::string> find(const std::string& key) override {
        const std::lock_guard lock(mutex_);
        const auto at = found_.find(key);
        if (at == found_.end()) return std::nullopt;
        ++n_answers;
        return at->second;
    }
    void keep(const std::string& key, const std::string& bytes) override {
        const std::lock_guard lock(mutex_);
        ++n_kept;
        found_[key] = bytes;
    }
    void forget_half() {
        bool odd = false;
        std::erase_if(found_, [&](const auto&) { return odd = !odd; });
    }
    void damage_all() {
        for (auto& [key, bytes] : found_) bytes.resize(bytes.size() / 2);
    }
    int n_answers = 0, n_kept = 0;

  private:
    std::mutex mutex_;
    std::map<std::string, std::string> found_;
};

TEST(TrialStore, AResponseComesBackAsItWas) {
    const Row row;
    HeatOptions options;
    options.keep_hours = options.account = false;
    const Response was = simulate(row.inputs(), row.building, options);
    const auto back = response_of(bytes_of(was));
    ASSERT_TRUE(back.has_value());
    EXPECT_EQ(bytes_of(*back), bytes_of(was));
    EXPECT_EQ(back->cooling_j, was.cooling_j);
    EXPECT_EQ(back->peak_cooling_w[1].value, was.peak_cooling_w[1].value);
    EXPECT_EQ(back->peak_cooling_w[1].step, was.peak_cooling_w[1].step);
    EXPECT_EQ(back->fan_electricity_j, was.fan_electricity_j);
    const std::string bytes = bytes_of(was);
    for (std::size_t n = 0; n < bytes.size(); n += 7)
        EXPECT_FALSE(response_of(bytes.substr(0, n)).has_value()) << n;
    EXPECT_FALSE(response_of(bytes + "x").has_value());
}

Plan plan_with(const Row& row, TrialStore* store, double absorptance = 0.7) {
    Treatment white;
    white.name = "white coat";
    white.cost_per_m2 = 10;
    Building building = row.building;
    for (Construction& c : building.exposed) c.outside_absorptance = absorptance;
    PlanOptions options;
    options.budget = 700;
    options.frontier_points = 4;
    options.store = store;
    options.trial_surroundings = &row.around_in_long_steps;
    return make_plan(
        row.inputs(), building, std::vector{white},
        [&](std::span<const double>) { return row.exposure; }, options);
}

void expect_same(const Plan& a, const Plan& b) {
    EXPECT_EQ(a.burden_after, b.burden_after);
    EXPECT_EQ(a.burden_checked, b.burden_checked);
    EXPECT_EQ(a.most_saving, b.most_saving);
    EXPECT_EQ(a.alone, b.alone);
    ASSERT_EQ(a.steps.size(), b.steps.size());
    for (std::size_t i = 0; i < a.steps.size(); ++i) {
        EXPECT_EQ(a.steps[i].finish, b.steps[i].finish);
        EXPECT_EQ(a.steps[i].saves, b.steps[i].saves);
    }
}

TEST(TrialStore, APlanIsTheSameWithAStoreFullHalfFullOrDamaged) {
    const Row row;
    const Plan plain = plan_with(row, nullptr);
    StoreInMemory store;
    expect_same(plain, plan_with(row, &store));
    const int made = store.n_kept;
    EXPECT_GT(made, 20);
    expect_same(plain, plan_with(row, &store));
    EXPECT_EQ(store.n_kept, made);  // nothing was run again
    store.forget_half();
    expect_same(plain, plan_with(row, &store));
    EXPECT_GT(store.n_kept, made);
    EXPECT_LT(store.n_kept, 2 * made);
    store.damage_all();
    expect_same(plain, plan_with(row, &store));
}

TEST(TrialStore, AnotherBuildingIsAnotherQuestion) {
    const Row row;
    StoreInMemory store;
    plan_with(row, &store, 0.7);
    store.n_answers = 0;
    const Plan darker = plan_with(row, &store, 0.9);
    EXPECT_EQ(store.n_answers, 0);
    expect_same(darker, plan_with(row, nullptr, 0.9));
}

TEST(TrialStore, AnotherWindByTheFacesIsAnotherQuestion) {
    const auto key_of = [](const Row& row) {
        ContentKey key;
        add_to(key, row.inputs());
        add_to(key, row.building);
        return key.hex();
    };
    const Row row;
    Row by_height = row, in_town = row, lower_ground = row, rough = row, stronger = row;
    by_height.around.wind_by_height = Terrain::open;
    in_town.around.wind_by_height = Terrain::city;
    lower_ground.around.wind_by_height = Terrain::open;
    lower_ground.envelope.ground_z_m = -2;
    rough.building.exposed[3].roughness = Roughness::rough;
    stronger.around.forced_scale = 1.3;
    std::set<std::string> keys;
    const std::array<const Row*, 6> rows{&row,          &by_height, &in_town,
                                         &lower_ground, &rough,     &stronger};
    for (const Row* one : rows) keys.insert(key_of(*one));
    EXPECT_EQ(keys.size(), rows.size());
    EXPECT_EQ(key_of(Row()), key_of(row));
}

}  // namespace
}  // namespace noonshell
