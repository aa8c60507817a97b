// Damaged site files: refused in one line with a place in the file, or read to values that keep
// their ranges. What the file names is not opened.
#include <cmath>
#include <string>

#include "cli/site_file.hpp"
#include "tests/fuzz/fuzz_checks.hpp"

namespace noonshell::fuzz {
namespace {

void demand_finite(double value, std::string_view name) {
    demand(std::isfinite(value), "a finite number", name);
}

void check_site(const SiteFile& site) {
    demand_finite(site.site.north_deg, "north_deg");
    demand(site.site.ground_albedo >= 0 && site.site.ground_albedo <= 1, "an albedo is 0 to 1");
    if (site.site.latitude_deg) {
        demand(std::abs(*site.site.latitude_deg) <= 90, "a latitude is -90 to 90");
    }
    demand(site.run.sun_step_s > 0, "a sun step is above 0");
    demand(site.run.heat_step_s > 0, "a heat step is above 0");
    for (const ConstructionRule& rule : site.constructions) {
        demand(!rule.construction.layers.empty(), "a construction has layers");
        for (const auto& layer : rule.construction.layers) {
            demand(layer.resistance() > 0 && std::isfinite(layer.resistance()), "a layer resists");
        }
    }
    demand(!site.treatments.empty(), "there are treatments, or the shipped examples");
    for (const InputRecord& record : site.inputs) demand_one_line(record.key);
}

}  // namespace
}  // namespace noonshell::fuzz

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace noonshell::fuzz;
    try {
        check_site(noonshell::parse_site_file(std::string(as_text(data, size)), "site.toml"));
    } catch (const noonshell::InputError& error) {
        demand_one_line(error.what());
        demand(error.place().file == "site.toml", "an error names the file", error.what());
    }
    return 0;
}
