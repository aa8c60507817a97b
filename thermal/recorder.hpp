// Turns the steps of a heat run into the response: hourly means, peaks, sums and balances.
#pragma once

#include "thermal/heat_run.hpp"
#include "thermal/response.hpp"

namespace noonshell {

class Recorder {
  public:
    Recorder(const HeatInputs& inputs, const Building& building, const HeatOptions& options,
             const HeatRun& run, Trace* trace);

    void before_period(const HeatRun& run);
    void record(const HeatRun& run, std::size_t step);
    Response finish(const HeatRun& run);

  private:
    void find_covered(const HeatRun& run);
    void note_outside(const HeatRun& run);
    void record_surfaces(const HeatRun& run, std::size_t step);
    void record_rooms(const HeatRun& run, std::size_t step);
    void record_trace(const HeatRun& run, std::size_t step);
    void note_absorbed(const HeatInputs& inputs, const Building& building);

    void record_plant(std::size_t unit, const RoomInStep& room, const RoomMoisture& moisture,
                      std::size_t step);
    void note_electricity(std::size_t unit, double w, std::vector<double>& by_use,
                          std::size_t step);
    void record_condensation(const HeatRun& run, std::size_t step);
    void record_gaps(const HeatRun& run, std::size_t step);
    void close_day(const HeatRun& run);

    HeatOptions options_;
    const std::vector<RoomSettings>& rooms_;
    const WeekHours& tariff_;
    const std::vector<std::size_t>& week_hour_;
    const std::vector<double>& outdoor_c_;
    const std::vector<double>& pressure_pa_;
    double step_s_;
    Trace* trace_;
    Response out_;
    std::vector<double> inward_w_;   // of this step, #surfaces
    std::vector<double> outside_c_;  // at the end of this step, #surfaces
    std::vector<double> outside_before_c_;
    std::vector<double> radiant_c_, radiant_before_c_;  // mean radiant, #units
    std::vector<double> room_stored_at_start_j_;
    std::vector<RoomBalance> at_midnight_;  // of the rooms, when this day began
    std::vector<double> walls_at_start_c_;
    std::vector<std::uint8_t> seen_;      // surfaces whose outside this run finds
    std::vector<std::uint8_t> is_run_;    // units that this run covers
    std::vector<std::uint32_t> covered_;  // surfaces that it does, of a run of the whole all
    double outside_gap_j_ = 0, outside_passed_j_ = 0;
};

}  // namespace noonshell
