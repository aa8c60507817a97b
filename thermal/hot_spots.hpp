// How hot the brightest part of every surface gets: what a hand meets, and what paint has to bear.
#pragma once

#include <vector>

#include "thermal/response.hpp"
#include "thermal/simulate.hpp"

namespace noonshell {

struct HotSpots {
    /// Of the outermost face and of the steel under any treatment, #surfaces; NaN for those without
    /// a unit or a part in the open.
    std::vector<Peak> outside_c, steel_c;
    /// Time in which the hour's mean of the outermost face is at or above each of
    /// bare_metal_touch_thresholds(), [surface * #thresholds + threshold].
    std::vector<double> touch_h;
};

/// Runs a column of every unit's wall under the light of one part of it, `of_parts` in W per m2 of
/// that part (solar/bright_parts.hpp); rooms, wind and the longwave of all
/// surfaces around are those of `trace`, which a whole run of the same inputs has filled. Heat that
/// flows along the steel from there (2 mm carry it some 0.1 m) is left out, and so is a part's own
/// view of sky and ground. Of options, refine, settle_k, most_inner_loops, warm_up_days and stop
/// count.
HotSpots hot_spots(const HeatInputs& inputs, const Building& building, const Exposure& of_parts,
                   const Trace& trace, const HeatOptions& options = {});

/// Leaves out (NaN) the temperatures of parts that come out no hotter than their whole outermost
/// face in `whole`, the run that filled the trace. Some part of a face is always at least as hot as
/// its mean, but the one that was looked at is picked by light and air alone: without wind, and
/// with light thrown onto it shared out by the month, which takes mornings, when a west wall's
/// ground lies in its shade, as afternoons. Where light is even that decides, and no part is known
/// that is hotter.
void leave_out_even_faces(const Response& whole, HotSpots& spots);

}  // namespace noonshell
