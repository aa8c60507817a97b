#include "solar/bounce.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <sstream>
#include <string>

#include "geometry/diagnostics.hpp"
#include "solar/wide.hpp"

namespace noonshell {

namespace {

template <class Scalar>
struct PackOf;
template <>
struct PackOf<double> {
    using Type = Four;
};
template <>
struct PackOf<float> {
    using Type = Eight;
};
template <class Scalar>
using Pack = typename PackOf<Scalar>::Type;
template <class Scalar>
constexpr std::size_t in_pack = sizeof(Pack<Scalar>) / sizeof(Scalar);
template <class Scalar>
constexpr std::size_t packs = BounceSolver::lanes / in_pack<Scalar>;

template <class Scalar>
const Pack<Scalar>* lanes_of(const Scalar* values, std::size_t node) {
    return reinterpret_cast<const Pack<Scalar>*>(values + node * BounceSolver::lanes);
}

template <class Scalar>
Pack<Scalar>* lanes_of(Scalar* values, std::size_t node) {
    return reinterpret_cast<Pack<Scalar>*>(values + node * BounceSolver::lanes);
}

/// Rows of a net in plain arrays, for the inner loops.
template <class Scalar>
struct Rows {
    const std::uint32_t* begin;
    const std::uint32_t* column;
    const Scalar* share;
    std::size_t n;
};

template <class Scalar>
struct Change {
    Pack<Scalar> changed[packs<Scalar>]{}, largest[packs<Scalar>]{};
};

/// Adds what entries [begin, end) throw. Two sums at a time: one would wait for itself.
/// Inlined into its callers, which are built twice: a template cannot be.
template <class Scalar>
[[gnu::always_inline]] inline void add_entries(const Rows<Scalar>& rows, std::uint32_t begin,
                                               std::uint32_t end, const Scalar* leaving,
                                               Pack<Scalar>* light) {
    constexpr std::size_t n = packs<Scalar>;
    Pack<Scalar> odd[n]{};
    std::uint32_t e = begin;
    for (; e + 1 < end; e += 2) {
        const Pack<Scalar>* first = lanes_of(leaving, rows.column[e]);
        const Pack<Scalar>* second = lanes_of(leaving, rows.column[e + 1]);
        for (std::size_t k = 0; k < n; ++k) light[k] += rows.share[e] * first[k];
        for (std::size_t k = 0; k < n; ++k) odd[k] += rows.share[e + 1] * second[k];
    }
    if (e < end) {
        const Pack<Scalar>* last = lanes_of(leaving, rows.column[e]);
        for (std::size_t k = 0; k < n; ++k) light[k] += rows.share[e] * last[k];
    }
    for (std::size_t k = 0; k < n; ++k) light[k] += odd[k];
}

template <class Scalar>
[[gnu::always_inline]] inline void sweep_any(const Rows<Scalar>& rows,
                                             std::span<const std::uint32_t> nodes,
                                             const double* reflectance, const Scalar* arriving,
                                             Scalar* leaving, Change<Scalar>& change) {
    constexpr std::size_t n = packs<Scalar>;
    for (const std::uint32_t i : nodes) {
        Pack<Scalar> light[n];
        for (std::size_t k = 0; k < n; ++k) light[k] = lanes_of(arriving, i)[k];
        add_entries(rows, rows.begin[i], rows.begin[i + 1], leaving, light);
        Pack<Scalar>* own = lanes_of(leaving, i);
        const auto rho = static_cast<Scalar>(reflectance[i]);
        for (std::size_t k = 0; k < n; ++k) {
            const Pack<Scalar> next = light[k] * rho;
            const Pack<Scalar> step = next - own[k];
            const Pack<Scalar> size = step < Scalar(0) ? -step : step;
            change.changed[k] = change.changed[k] > size ? change.changed[k] : size;
            change.largest[k] = change.largest[k] > next ? change.largest[k] : next;
            own[k] = next;
        }
    }
}

NOONSHELL_WIDE void sweep_rows(const Rows<double>& rows, std::span<const std::uint32_t> nodes,
                               const double* reflectance, const double* arriving, double* leaving,
                               Change<double>& change) {
    sweep_any(rows, nodes, reflectance, arriving, leaving, change);
}

NOONSHELL_WIDE void sweep_rows(const Rows<float>& rows, std::span<const std::uint32_t> nodes,
                               const double* reflectance, const float* arriving, float* leaving,
                               Change<float>& change) {
    sweep_any(rows, nodes, reflectance, arriving, leaving, change);
}

NOONSHELL_WIDE void gather_rows(const Rows<double>& rows, std::uint32_t from, std::uint32_t to,
                                const double* leaving, double* light_out) {
    for (std::size_t i = 0; i < rows.n; ++i) {
        const std::uint32_t* last = rows.column + rows.begin[i + 1];
        const std::uint32_t* begin = std::lower_bound(rows.column + rows.begin[i], last, from);
        const std::uint32_t* end = std::lower_bound(begin, last, to);
        Four light[packs<double>]{};
        add_entries(rows, static_cast<std::uint32_t>(begin - rows.column),
                    static_cast<std::uint32_t>(end - rows.column), leaving, light);
        for (std::size_t k = 0; k < packs<double>; ++k) lanes_of(light_out, i)[k] = light[k];
    }
}

/// The light of one row from entries [begin, end), times a weight, on top of `sum`.
NOONSHELL_WIDE void add_row(const Rows<float>& rows, std::uint32_t begin, std::uint32_t end,
                            double weight, const float* leaving, double* sum) {
    Eight light[packs<float>]{};
    add_entries(rows, begin, end, leaving, light);
    for (std::size_t k = 0; k < BounceSolver::lanes; ++k) {
        sum[k] += weight * static_cast<double>(light[k / 8][k % 8]);
    }
}

template <class Scalar>
Rows<Scalar> rows_of(const ExchangeNet& net, const std::vector<Scalar>& share) {
    return {net.row_begin.data(), net.column.data(), share.data(), net.size()};
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
    share_single_.assign(net.share.begin(), net.share.end());
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
template <class Scalar>
double BounceSolver::sweep(std::span<const std::uint32_t> nodes,
                           std::span<const Scalar> arriving_w_m2,
                           std::span<Scalar> leaving_w_m2) const {
    Change<Scalar> change;
    sweep_rows(rows_of(net_, shares(Scalar{})), nodes, reflectance_.data(), arriving_w_m2.data(),
               leaving_w_m2.data(), change);
    double most = 0;
    for (std::size_t k = 0; k < lanes; ++k) {
        const std::size_t pack = k / in_pack<Scalar>, place = k % in_pack<Scalar>;
        const auto changed = static_cast<double>(change.changed[pack][place]);
        const auto largest = static_cast<double>(change.largest[pack][place]);
        if (largest > 0) most = std::max(most, changed / largest);
    }
    return most;
}

template <class Scalar>
void BounceSolver::settle(std::span<const std::uint32_t> nodes, double tolerance,
                          std::span<const Scalar> arriving_w_m2,
                          std::span<Scalar> leaving_w_m2) const {
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
        // Changes shrink as a geometric series; its rest, doubled to be safe, is still to come.
        const double rate = std::min(change / before, 1 - 1e-12);
        const bool as_near_as_numbers_go =
            change <= 4 * double{std::numeric_limits<Scalar>::epsilon()};
        lacking = as_near_as_numbers_go ? 0.0 : change * 2 * rate / (1 - rate);
    }
}

void BounceSolver::solve(std::span<const double> arriving_w_m2,
                         std::span<double> leaving_w_m2) const {
    std::fill(leaving_w_m2.begin(), leaving_w_m2.end(), 0.0);
    settle(std::span<const std::uint32_t>(all_nodes_), options_.tolerance, arriving_w_m2,
           leaving_w_m2);
}

void BounceSolver::solve(std::span<const float> arriving_w_m2, double tolerance,
                         std::span<float> leaving_w_m2) const {
    std::fill(leaving_w_m2.begin(), leaving_w_m2.end(), 0.0F);
    settle(std::span<const std::uint32_t>(all_nodes_), std::max(tolerance, 1e-6), arriving_w_m2,
           leaving_w_m2);
}

void BounceSolver::solve_among(std::span<const std::uint32_t> nodes, double tolerance,
                               std::span<const double> arriving_w_m2,
                               std::span<double> leaving_w_m2) const {
    settle(nodes, tolerance, arriving_w_m2, leaving_w_m2);
}

void BounceSolver::gather(std::span<const double> leaving_w_m2, std::uint32_t begin,
                          std::uint32_t end, std::span<double> light_w_m2) const {
    NOONSHELL_CHECK_EQ(leaving_w_m2.size(), n_nodes() * lanes);
    NOONSHELL_CHECK_EQ(light_w_m2.size(), leaving_w_m2.size());
    gather_rows(rows_of(net_, net_.share), begin, end, leaving_w_m2.data(), light_w_m2.data());
}

void BounceSolver::gather_sum(std::span<const float> leaving_w_m2, std::uint32_t begin,
                              std::uint32_t end, std::span<const double> weight,
                              std::uint32_t split, std::span<double> from_lower_w_m2,
                              std::span<double> from_upper_w_m2) const {
    NOONSHELL_CHECK_EQ(leaving_w_m2.size(), n_nodes() * lanes);
    NOONSHELL_CHECK_EQ(weight.size(), n_nodes());
    NOONSHELL_CHECK_EQ(from_lower_w_m2.size(), lanes);
    NOONSHELL_CHECK_EQ(from_upper_w_m2.size(), lanes);
    std::fill(from_lower_w_m2.begin(), from_lower_w_m2.end(), 0.0);
    std::fill(from_upper_w_m2.begin(), from_upper_w_m2.end(), 0.0);
    const Rows<float> net = rows_of(net_, share_single_);
    for (std::uint32_t i = begin; i < end; ++i) {
        const std::uint32_t* first = net.column + net.begin[i];
        const std::uint32_t* last = net.column + net.begin[i + 1];
        const auto middle =
            static_cast<std::uint32_t>(std::lower_bound(first, last, split) - net.column);
        add_row(net, net.begin[i], middle, weight[i], leaving_w_m2.data(), from_lower_w_m2.data());
        add_row(net, middle, net.begin[i + 1], weight[i], leaving_w_m2.data(),
                from_upper_w_m2.data());
    }
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
