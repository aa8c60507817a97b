#include "solar/bounce.hpp"

#include <algorithm>
#include <cmath>
#include <sstream>
#include <string>

#include "geometry/diagnostics.hpp"
#include "solar/wide.hpp"

namespace noonshell {

namespace {

/// Four cases fill one register of AVX2. Wider vectors go through memory piece by piece there,
/// which costs more than the sums; so does memcpy into them. Not to be passed by value between
/// functions.
using Four = double __attribute__((vector_size(4 * sizeof(double)), aligned(8), may_alias));
constexpr std::size_t fours = BounceSolver::lanes / 4;
static_assert(fours * 4 == BounceSolver::lanes);

const Four* lanes_of(const double* values, std::size_t node) {
    return reinterpret_cast<const Four*>(values + node * BounceSolver::lanes);
}

Four* lanes_of(double* values, std::size_t node) {
    return reinterpret_cast<Four*>(values + node * BounceSolver::lanes);
}

/// Rows of a net in plain arrays, for the inner loops.
struct Rows {
    const std::uint32_t* begin;
    const std::uint32_t* column;
    const double* share;
    std::size_t n;
};

struct Change {
    Four changed[fours]{}, largest[fours]{};
};

NOONSHELL_WIDE void sweep_rows(const Rows& rows, std::span<const std::uint32_t> nodes,
                               const double* reflectance, const double* arriving, double* leaving,
                               Change& change) {
    for (const std::uint32_t i : nodes) {
        Four light[fours];
        for (std::size_t k = 0; k < fours; ++k) light[k] = lanes_of(arriving, i)[k];
        for (std::uint32_t e = rows.begin[i]; e < rows.begin[i + 1]; ++e) {
            const Four* other = lanes_of(leaving, rows.column[e]);
            for (std::size_t k = 0; k < fours; ++k) light[k] += rows.share[e] * other[k];
        }
        Four* own = lanes_of(leaving, i);
        for (std::size_t k = 0; k < fours; ++k) {
            const Four next = light[k] * reflectance[i];
            const Four step = next - own[k];
            const Four size = step < 0.0 ? -step : step;
            change.changed[k] = change.changed[k] > size ? change.changed[k] : size;
            change.largest[k] = change.largest[k] > next ? change.largest[k] : next;
            own[k] = next;
        }
    }
}

NOONSHELL_WIDE void gather_rows(const Rows& rows, std::uint32_t from, std::uint32_t to,
                                const double* leaving, double* light_out) {
    for (std::size_t i = 0; i < rows.n; ++i) {
        Four light[fours]{};
        const std::uint32_t* last = rows.column + rows.begin[i + 1];
        const std::uint32_t* column = std::lower_bound(rows.column + rows.begin[i], last, from);
        for (; column != last && *column < to; ++column) {
            const double share = rows.share[column - rows.column];
            const Four* other = lanes_of(leaving, *column);
            for (std::size_t k = 0; k < fours; ++k) light[k] += share * other[k];
        }
        for (std::size_t k = 0; k < fours; ++k) lanes_of(light_out, i)[k] = light[k];
    }
}

Rows rows_of(const ExchangeNet& net) {
    return {net.row_begin.data(), net.column.data(), net.share.data(), net.size()};
}

}  // namespace

double LightBalance::residual() const {
    return arriving_w > 0 ? std::abs(arriving_w - absorbed_w - escaped_w) / arriving_w : 0;
}

BounceSolver::BounceSolver(const ExchangeNet& net, std::span<const double> reflectance,
                           const BounceOptions& options)
    : net_(net), reflectance_(reflectance.begin(), reflectance.end()), options_(options) {
    NOONSHELL_CHECK_EQ(reflectance.size(), net.size());
    NOONSHELL_CHECK_EQ(net.row_begin.size(), net.size() + 1);
    for (std::size_t i = 0; i < reflectance_.size(); ++i) {
        if (!(reflectance_[i] >= 0 && reflectance_[i] <= 1)) {
            throw InputError({.file = {},
                              .line = {},
                              .column = {},
                              .entity = "reflectance of node " + std::to_string(i)},
                             "0 to 1", std::to_string(reflectance_[i]));
        }
        open_share_.push_back(net.area_m2[i] > 0 ? 1 - net.share_of_nodes(i) : 0.0);
        all_nodes_.push_back(static_cast<std::uint32_t>(i));
    }
}

/// One Gauss-Seidel sweep; returns the largest change over the largest value.
double BounceSolver::sweep(std::span<const std::uint32_t> nodes,
                           std::span<const double> arriving_w_m2,
                           std::span<double> leaving_w_m2) const {
    Change change;
    sweep_rows(rows_of(net_), nodes, reflectance_.data(), arriving_w_m2.data(), leaving_w_m2.data(),
               change);
    double most = 0;
    for (std::size_t k = 0; k < lanes; ++k) {
        const double changed = change.changed[k / 4][k % 4], largest = change.largest[k / 4][k % 4];
        if (largest > 0) most = std::max(most, changed / largest);
    }
    return most;
}

void BounceSolver::solve(std::span<const double> arriving_w_m2,
                         std::span<double> leaving_w_m2) const {
    std::fill(leaving_w_m2.begin(), leaving_w_m2.end(), 0.0);
    solve_among(all_nodes_, options_.tolerance, arriving_w_m2, leaving_w_m2);
}

void BounceSolver::solve_among(std::span<const std::uint32_t> nodes, double tolerance,
                               std::span<const double> arriving_w_m2,
                               std::span<double> leaving_w_m2) const {
    NOONSHELL_CHECK_EQ(arriving_w_m2.size(), n_nodes() * lanes);
    NOONSHELL_CHECK_EQ(leaving_w_m2.size(), arriving_w_m2.size());
    double change = 1, lacking = 1;
    for (int n = 0; lacking > tolerance; ++n) {
        if (n == options_.most_sweeps) {
            std::ostringstream text;
            text << "bounced light did not settle: after " << n << " sweeps it still lacks "
                 << lacking << " of the brightest, wanted " << tolerance;
            throw ConvergenceError(text.str());
        }
        const double before = change;
        change = sweep(nodes, arriving_w_m2, leaving_w_m2);
        // Changes shrink as a geometric series; its rest is what is still to come.
        const double rate = std::min(change / before, 1 - 1e-12);
        lacking = change * std::max(1.0, rate / (1 - rate));
    }
}

void BounceSolver::gather(std::span<const double> leaving_w_m2, std::uint32_t begin,
                          std::uint32_t end, std::span<double> light_w_m2) const {
    NOONSHELL_CHECK_EQ(leaving_w_m2.size(), n_nodes() * lanes);
    NOONSHELL_CHECK_EQ(light_w_m2.size(), leaving_w_m2.size());
    gather_rows(rows_of(net_), begin, end, leaving_w_m2.data(), light_w_m2.data());
}

std::vector<LightBalance> BounceSolver::balance(std::span<const double> arriving_w_m2,
                                                std::span<const double> leaving_w_m2,
                                                std::span<const double> bounced_w_m2) const {
    std::vector<LightBalance> balances(lanes);
    for (std::size_t s = 0; s < reflectance_.size(); ++s) {
        for (std::size_t k = 0; k < lanes; ++k) {
            const std::size_t i = s * lanes + k;
            balances[k].arriving_w += net_.area_m2[s] * arriving_w_m2[i];
            balances[k].absorbed_w +=
                net_.area_m2[s] * (1 - reflectance_[s]) * (arriving_w_m2[i] + bounced_w_m2[i]);
            balances[k].escaped_w += net_.area_m2[s] * open_share_[s] * leaving_w_m2[i];
        }
    }
    return balances;
}

}  // namespace noonshell
