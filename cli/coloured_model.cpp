#include "cli/coloured_model.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <set>
#include <sstream>
#include <stdexcept>

#include "cli/result_units.hpp"
#include "geometry/colour_scale.hpp"

namespace noonshell {

namespace {

/// A file that goes away again, whatever happens.
class ScratchFile {
  public:
    explicit ScratchFile(std::filesystem::path path) : path_(std::move(path)) {}
    ~ScratchFile() {
        std::error_code ignored;
        std::filesystem::remove(path_, ignored);
    }
    ScratchFile(const ScratchFile&) = delete;
    ScratchFile& operator=(const ScratchFile&) = delete;
    const std::filesystem::path& path() const { return path_; }

  private:
    std::filesystem::path path_;
};

}  // namespace

std::optional<double> colour_value(const RunResult& result, SurfaceId id, ColourBy by) {
    const std::size_t s = id.index();
    const Surface& surface = result.envelope().surfaces[s];
    if (surface.exposed_area_m2 <= 0) return std::nullopt;
    switch (by) {
        case ColourBy::sun:
            return result.sun().total_wh_m2(id) / 1000;
        case ColourBy::peak_outside:
            if (!std::isfinite(result.response.peak_outside_c[s].value)) return std::nullopt;
            return result.response.peak_outside_c[s].value;
        case ColourBy::inward:
            if (!surface.unit.valid()) return std::nullopt;
            return kwh_of_joules(result.response.inward_j[s]) / surface.area_m2;
        case ColourBy::rank:
            break;
    }
    const std::uint32_t rank = result.ranking.rank[s];
    if (rank == 0) return std::nullopt;
    return -static_cast<double>(rank);
}

ColourEnds colour_ends(const RunResult& result, ColourBy by) {
    std::optional<ColourEnds> ends;
    for (std::size_t s = 0; s < result.envelope().surfaces.size(); ++s) {
        const auto value = colour_value(result, SurfaceId(s), by);
        if (!value) continue;
        if (!ends) ends = ColourEnds{*value, *value};
        ends->low = std::min(ends->low, *value);
        ends->high = std::max(ends->high, *value);
    }
    return ends.value_or(ColourEnds{});
}

std::vector<FaceColour> face_colours(const RunResult& result) {
    const ColourBy by = result.settings.run.colour_by;
    const ColourEnds ends = colour_ends(result, by);
    std::vector<FaceColour> colours;
    std::set<FaceId> of_units;
    for (std::size_t s = 0; s < result.envelope().surfaces.size(); ++s) {
        const auto value = colour_value(result, SurfaceId(s), by);
        if (!value) continue;
        // Both sides of a sheet are one face of the file: it shows the first of them.
        const SurfaceId other = result.envelope().surfaces[s].other_side;
        if (other.valid() && other < SurfaceId(s)) continue;
        const Rgb colour = scale_colour(ends.share_of(*value));
        // A face that is roof and eaves shows the roof, which comes first.
        const bool of_unit = result.envelope().surfaces[s].unit.valid();
        for (const FaceId face : result.envelope().surfaces[s].faces) {
            if (of_unit) of_units.insert(face);
            if (of_unit || !of_units.contains(face)) colours.push_back({face, colour});
        }
    }
    return colours;
}

std::string colour_legend(const RunResult& result) {
    const ColourEnds ends = colour_ends(result, result.settings.run.colour_by);
    switch (result.settings.run.colour_by) {
        case ColourBy::sun:
            return fmt::format("sun, dark {:.0f} to light {:.0f} kWh/m2", ends.low, ends.high);
        case ColourBy::peak_outside:
            return fmt::format("highest outside temperature, dark {:.1f} to light {:.1f} C",
                               ends.low, ends.high);
        case ColourBy::inward:
            return fmt::format("heat inward, dark {:.0f} to light {:.0f} kWh/m2", ends.low,
                               ends.high);
        case ColourBy::rank:
            break;
    }
    return fmt::format("rank, dark {:.0f} to light {:.0f}", -ends.low, -ends.high);
}

std::string coloured_step_bytes(const ColouredFile& asked, const std::filesystem::path& folder,
                                std::vector<Warning>& warnings) {
    const ScratchFile scratch(folder / fmt::format(".coloured-{}.step", ::getpid()));
    const ColouredStepReport report = [&] {
        try {
            return write_coloured_step(asked.source, scratch.path(), asked.inspection.model,
                                       asked.colours, asked.inspection.added);
        } catch (const InputError&) {
            throw;
        } catch (const std::runtime_error& error) {
            throw InputError({(folder / "coloured.step").string(), {}, {}, {}}, "room to write it",
                             error.what());
        }
    }();
    warnings.insert(warnings.end(), report.warnings.begin(), report.warnings.end());
    std::ifstream file(scratch.path(), std::ios::binary);
    std::ostringstream bytes;
    bytes << file.rdbuf();
    return bytes.str();
}

std::string coloured_step_bytes(RunResult& result, const std::filesystem::path& folder) {
    return coloured_step_bytes(
        {result.settings.model.file, result.inspection, face_colours(result)}, folder,
        result.warnings);
}

}  // namespace noonshell
