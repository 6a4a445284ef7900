#pragma once
/// Probabilities far out in the tails of the distributions that spectral lines of noise follow.
/// Stated accuracy holds over the stated range and is what the tests check against reference
/// tables.
/// Errors: std::invalid_argument outside the range (NaN included).
namespace bearingdsp {

/// Regularised upper incomplete gamma function Q(a, x) = P(gamma variate of shape a > x); the
/// chance that a chi-square of 2a degrees of freedom exceeds 2x.
/// Range: 0.1 <= a <= 1e6, x >= 0. Accuracy: 1e-12 relative where Q >= 1e-290, down to underflow
/// beyond.
/// Source: [temme1979] prefactor, [dlmf] 8.7.1 series, 8.9.2 continued fraction
[[nodiscard]] double gamma_q(double a, double x);
/// Lower counterpart P(a, x) = 1 - Q(a, x), 1e-12 relative also where P is tiny.
[[nodiscard]] double gamma_p(double a, double x);
/// ln Q(a, x) without underflow. Accuracy: 1e-12 relative, or 1e-15 absolute near ln Q = 0.
[[nodiscard]] double log_gamma_q(double a, double x);
/// x with Q(a, x) = q.
/// Range: 0 < q < 1 (tails to 1e-300). Accuracy: 1e-11 relative.
[[nodiscard]] double gamma_q_inverse(double a, double q);

/// P(standard normal variate > z). Accuracy: 1e-13 relative for z <= 37 (double then underflows).
[[nodiscard]] double normal_tail(double z);
/// ln of normal_tail, any z up to 1e150. Accuracy: 1e-12 relative.
[[nodiscard]] double log_normal_tail(double z);
/// z with P(standard normal variate <= z) = p, 0 < p < 1. Accuracy: 1e-12 relative, 1e-15 absolute
/// near p = 1/2.
[[nodiscard]] double normal_quantile(double p);

}  // namespace bearingdsp
