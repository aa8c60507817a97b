// The shades of one heat run, in the open on all sides: sheets, each at one temperature, which all
// its faces share, and plates, whose front and back have layers between them; found by Newton's
// method.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "thermal/heat_patches.hpp"
#include "thermal/open_kernels.hpp"
#include "thermal/outside_conditions.hpp"

namespace noonshell {

/// What the accounts of one step say of all shades [W].
struct ShadeAccounts {
    double net_w = 0;     ///< exact net heat into all faces
    double taken_w = 0;   ///< what sheets and plates took
    double passed_w = 0;  ///< sum of sun and longwave that came in
};

class ShadeSheets {
  public:
    /// All at `start_c`. A shade that moves less than `settle_k` in a turn has settled. `sheets`
    /// and the `walls` that they name must outlive this.
    ShadeSheets(const std::vector<ShadeSheet>& sheets, const std::vector<LayeredWall>& walls,
                OutsideConvection model, double step_s, double settle_k, int most_turns,
                double start_c);

    /// One step under the conditions at its end; false where a shade has not settled.
    bool advance(const OutsideConditions& outside);

    /// The step that was advanced last.
    ShadeAccounts accounts(const OutsideConditions& outside) const;

    double face_c(std::size_t sheet, std::size_t face) const {
        return of_face(now_c_, face_begin_[sheet] + face);
    }

    /// Temperatures within all plates.
    void append_cells_c(std::vector<double>& all) const;

  private:
    /// The temperatures that one face has the mean of: twice the same but on edges of plates.
    using Nodes = std::array<std::uint32_t, 2>;

    /// Layers between two temperatures, in one step.
    struct Plate {
        const LayeredWall* wall;
        double area_m2;
        std::uint32_t front;  ///< its temperature; that of the back follows
        WallState state;
        TwoPort port{};
        std::vector<double> particular_c;
        double edge_w_k = 0;  ///< of all edges, over 4
    };

    double of_face(const std::vector<double>& node_c, std::size_t face) const {
        const auto [a, b] = nodes_of_[face];
        return a == b ? node_c[a] : 0.5 * (node_c[a] + node_c[b]);
    }
    void read_conditions(const OutsideConditions& outside);
    void begin();
    void gather();
    bool move(std::size_t sheet);

    const std::vector<ShadeSheet>& sheets_;
    OutsideConvection model_;
    double step_s_, settle_k_;
    int most_turns_;
    std::vector<OpenBlock> blocks_;             // of faces, sheet by sheet
    std::vector<std::size_t> face_begin_;       // #sheets
    std::vector<Nodes> nodes_of_;               // #faces
    std::vector<double> area_m2_;               // #faces
    std::vector<std::uint32_t> node_of_;        // #sheets: of a plate that of its front
    std::vector<std::uint32_t> plate_of_;       // #sheets, none of a sheet
    std::vector<Plate> plates_;                 // of those that are plates
    std::vector<double> now_c_, before_c_;      // #nodes, at the ends of the last two steps
    std::vector<double> past_w_, inertia_w_k_;  // #nodes, of one step: of sheets
    std::vector<double> guess_c_, slope_w_k_, source_w_;  // #nodes, of one turn
    std::vector<std::uint8_t> settled_;                   // #sheets
};

}  // namespace noonshell
