#include "bearingdsp/evidence/bearing_evidence.hpp"

#include "arguments.hpp"
#include "bearingdsp/spectra/averaged_coherence.hpp"
#include "bearingdsp/spectra/cyclic_coherence.hpp"
#include "bearingdsp/spectra/envelope_spectrum.hpp"
#include "bearingdsp/spectra/kurtogram.hpp"
#include "bearingdsp/verdict/judgement.hpp"
#include "value.hpp"

namespace bearingdsp::python {
namespace {

/// Evidence with the orders it was looked for at, so that judge() cannot be given others.
struct Weighed {
  BearingEvidence evidence;
  DefectOrders orders;
};

/// Rows of equal length as one array.
py::array_t<double> table(const std::vector<std::vector<double>>& rows) {
  const std::size_t columns = rows.empty() ? 0 : rows.front().size();
  py::array_t<double> all({rows.size(), columns});
  auto cell = all.mutable_unchecked<2>();
  for (std::size_t r = 0; r < rows.size(); ++r)
    for (std::size_t c = 0; c < columns; ++c)
      cell(static_cast<py::ssize_t>(r), static_cast<py::ssize_t>(c)) = rows[r][c];
  return all;
}

void add_maps(py::module_& m) {
  value_type<Kurtogram>(m, "Kurtogram", "In which band a recording is most impulsive.")
      .def_readonly("bands", &Kurtogram::bands, "The tree, from the whole band to the narrowest.")
      .def_property_readonly("kurtosis", array_of(&Kurtogram::kurtosis),
                             "float64 [bands]: spectral kurtosis, 0 for Gaussian noise, -1 for a "
                             "sine; read-only, shared.")
      .def_property_readonly("deviation", array_of(&Kurtogram::deviation),
                             "float64 [bands]: its standard deviation in Gaussian noise; "
                             "read-only, shared.")
      .def_property_readonly(
          "best", [](const Kurtogram& k) { return k.bands.at(k.best); },
          "Band with the largest kurtosis.");
  m.def(
      "kurtogram",
      [](const RecordSpectrum& spectrum, double narrowest, PlansArgument plans) {
        positive("narrowest_hz", narrowest);
        const PlansArgument kept = or_fresh(std::move(plans));
        const py::gil_scoped_release released;
        return kurtogram(spectrum, Hz{narrowest}, *kept);
      },
      py::arg("spectrum"), py::arg("narrowest_hz"), py::arg("plans") = py::none(),
      "Spectral kurtosis of every band of band_tree() (Antoni 2007). Bands several times as wide\n"
      "as the highest impact rate: in narrower ones impacts run together.");
  value_type<AveragedCoherence>(m, "AveragedCoherence",
                                "Cyclic coherence by its definition, over cyclic frequency and "
                                "carrier.")
      .def_property_readonly("cyclic_hz", array_of(&AveragedCoherence::cyclic_hz),
                             "float64 [cyclic], Hz; read-only, shared.")
      .def_property_readonly(
          "carrier_hz",
          [](const AveragedCoherence& c) {
            std::vector<double> f(c.squared.empty() ? 0 : c.squared.front().size());
            for (std::size_t k = 0; k < f.size(); ++k)
              f[k] = static_cast<double>(k) * c.line_spacing.value();
            return owned(std::move(f));
          },
          "float64 [carriers], Hz.")
      .def_property_readonly(
          "squared", [](const AveragedCoherence& c) { return table(c.squared); },
          "float64 [cyclic, carriers]: squared magnitude without its bias, scatters about 0 where "
          "there is nothing; NaN where there is no pair of carriers.")
      .def_readonly("averages", &AveragedCoherence::averages,
                    "Independent segments that the overlapped ones are worth.")
      .def_readonly("by_chance", &AveragedCoherence::by_chance,
                    "Gaussian noise exceeds this in one cell of 1000.");
  m.def(
      "averaged_coherence",
      [](const Samples& x, double rate_hz, const Samples& cyclic_hz, std::size_t segment,
         double overlap, PlansArgument plans) {
        const auto in = view(x);
        const auto cyclic = view(cyclic_hz);
        const PlansArgument kept = or_fresh(std::move(plans));
        const py::gil_scoped_release released;
        return take(averaged_coherence(in, Hz{rate_hz}, cyclic, *kept, {segment, overlap}));
      },
      py::arg("x"), py::arg("rate_hz"), py::arg("cyclic_hz"), py::kw_only(),
      py::arg("segment") = 256, py::arg("overlap") = 0.75, py::arg("plans") = py::none(),
      "Squared cyclic coherence by averaged cyclic periodograms (Antoni 2007), its bias taken off\n"
      "(Carter 1973). A cyclic frequency is resolved to 1 / duration. Raises BadArgument, "
      "TooShort.");
}

void add_band_spectra(py::module_& m) {
  value_type<RecordSpectrum>(m, "RecordSpectrum",
                             "One-sided transform of a whole recording, from which any band can be "
                             "demodulated.")
      .def_property_readonly("bins", array_of(&RecordSpectrum::bins), "complex128 [n/2 + 1].")
      .def_readonly("n", &RecordSpectrum::n, "Samples it was made of.")
      .def_property_readonly("rate_hz", number(&RecordSpectrum::rate),
                             "Samples per second of the recording.")
      .def_property_readonly(
          "line_spacing_hz", [](const RecordSpectrum& s) { return s.line_spacing().value(); },
          "Distance of two bins, Hz.")
      .def_property_readonly(
          "order_hz",
          [](const RecordSpectrum& s) {
            return s.track ? std::optional{s.track->revolutions_until(
                                               Seconds{static_cast<double>(s.n) / s.rate.value()}) *
                                           s.line_spacing().value()}
                           : std::nullopt;
          },
          "Where order 1 is in its envelope spectra, Hz: the mean rate of the track; else None.");
  value_type<EnvelopeSpectrum>(
      m, "EnvelopeSpectrum",
      "Spectrum of the squared envelope of one band as modulation depth: depth2[k] is the square\n"
      "of the depth at k * line_spacing_hz, so 1 + m cos(wt) reads m^2 at w.")
      .def_property_readonly("depth2", array_of(&EnvelopeSpectrum::depth2),
                             "float64 [lines]: squares of modulation depths; read-only, shared.")
      .def_property_readonly(
          "frequency_hz",
          [](const EnvelopeSpectrum& s) {
            std::vector<double> f(s.depth2.size());
            for (std::size_t k = 0; k < f.size(); ++k)
              f[k] = static_cast<double>(k) * s.line_spacing.value();
            return owned(std::move(f));
          },
          "float64 [lines], Hz.")
      .def_property_readonly("line_spacing_hz", number(&EnvelopeSpectrum::line_spacing),
                             "Distance of two lines, Hz.")
      .def_readonly("band", &EnvelopeSpectrum::band, "The band that was demodulated.")
      .def_readonly("mean_square", &EnvelopeSpectrum::mean_square, "Of the band's signal, U^2.")
      .def_readonly("kurtosis", &EnvelopeSpectrum::kurtosis,
                    "Spectral kurtosis of the band; 0 for Gaussian noise.")
      .def_readonly("enbw_bins", &EnvelopeSpectrum::enbw_bins,
                    "Noise bandwidth of the window, in lines.");
  m.def(
      "record_spectrum",
      [](const Samples& x, double rate_hz, PlansArgument plans,
         const std::optional<PhaseTrack>& track) {
        const SignalView signal{view(x), Hz{positive("rate_hz", rate_hz)},
                                SampleUnit::uncalibrated};
        const PlansArgument kept = or_fresh(std::move(plans));
        const py::gil_scoped_release released;
        RecordSpectrum spectrum = record_spectrum(signal, *kept);
        if (track) spectrum.track = std::make_shared<const PhaseTrack>(*track);
        return spectrum;
      },
      py::arg("x"), py::arg("rate_hz"), py::arg("plans") = py::none(), py::kw_only(),
      py::arg("track") = py::none(),
      "Forward transform of a recording without its mean, n >= 16. Up to 1 % of the samples at "
      "the\n"
      "end may be left out so that the length has only small factors. With a track, envelopes are\n"
      "read at even steps of the shaft's angle (Abboud 2017): their order k is at k * order_hz,\n"
      "whatever the speed does, while bands stay in Hz.");
  m.def(
      "flattened",
      [](const RecordSpectrum& spectrum, double smoothing) {
        positive("smoothing_hz", smoothing);
        const py::gil_scoped_release released;
        return flattened(spectrum, Hz{smoothing});
      },
      py::arg("spectrum"), py::arg("smoothing_hz"),
      "Copy with a flat floor, so that every frequency weighs alike while bursts stay.");
  m.def(
      "squared_envelope_spectrum",
      [](const RecordSpectrum& spectrum, const Band& band, double up_to, PlansArgument plans) {
        positive("up_to_hz", up_to);
        const PlansArgument kept = or_fresh(std::move(plans));
        const py::gil_scoped_release released;
        return squared_envelope_spectrum(spectrum, band, Hz{up_to}, *kept);
      },
      py::arg("spectrum"), py::arg("band"), py::arg("up_to_hz"), py::arg("plans") = py::none(),
      "Squared envelope spectrum of a band, 0 .. up_to_hz (Randall & Antoni 2011, section 5).");
  value_type<CoherenceMap>(m, "CoherenceMap", "Which carriers pulse at which rate.")
      .def_readonly("bands", &CoherenceMap::bands, "Of the carrier, ascending.")
      .def_property_readonly("step_hz", number(&CoherenceMap::step),
                             "Column c holds cyclic frequencies from c to below c + 1 steps.")
      .def_property_readonly(
          "magnitude", [](const CoherenceMap& map) { return table(map.magnitude); },
          "float64 [bands, columns], 0 (no pulsing) to 1.")
      .def_readonly("by_chance", &CoherenceMap::by_chance,
                    "Gaussian noise reaches this in one cell of 1000.");
  m.def(
      "cyclic_coherence",
      [](const std::vector<RecordSpectrum>& axes, double up_to, PlansArgument plans) {
        positive("up_to_hz", up_to);
        const PlansArgument kept = or_fresh(std::move(plans));
        const py::gil_scoped_release released;
        return cyclic_coherence(axes, Hz{up_to}, *kept);
      },
      py::arg("axes"), py::arg("up_to_hz"), py::arg("plans") = py::none(),
      "Cyclic coherence averaged over bands of the carrier, of flattened records (Antoni 2007).");
  add_maps(m);
  m.def(
      "band_tree",
      [](double rate, double narrowest) {
        return band_tree(Hz{positive("rate_hz", rate)}, Hz{positive("narrowest_hz", narrowest)});
      },
      py::arg("rate_hz"), py::arg("narrowest_hz"),
      "Bands to try: whole, halves, thirds ... as in the fast kurtogram (Antoni 2007).");
}

void add_families(py::module_& m) {
  value_type<LineEvidence>(m, "LineEvidence", "One line of a family.")
      .def_readonly("harmonic", &LineEvidence::harmonic, "Multiple of the series' fundamental.")
      .def_readonly("sideband", &LineEvidence::sideband,
                    "Number of the sideband; 0: the harmonic itself.")
      .def_property_readonly("order", number(&LineEvidence::order), "Where it was found.")
      .def_readonly("depth", &LineEvidence::depth, "1 = fully modulated.")
      .def_readonly("prominence_db", &LineEvidence::prominence_db,
                    "Power of the line over the local floor, dB.")
      .def_readonly("detected", &LineEvidence::detected, "Significantly above the noise floor.")
      .def_readonly("shared", &LineEvidence::shared, "Coincides with another family.");
  value_type<FamilyEvidence>(m, "FamilyEvidence", "One family at a defect order.")
      .def_readonly("part", &FamilyEvidence::part, "Component whose series it is.")
      .def_property_readonly("expected", number(&FamilyEvidence::expected), "Orders.")
      .def_property_readonly("fitted", number(&FamilyEvidence::fitted), "Orders.")
      .def_readonly("slip", &FamilyEvidence::slip, "fitted / expected - 1")
      .def_readonly("lines", &FamilyEvidence::lines, "Each line that was looked for.")
      .def_readonly("harmonics_detected", &FamilyEvidence::harmonics_detected,
                    "How many harmonics are detected.")
      .def_readonly("sidebands_detected", &FamilyEvidence::sidebands_detected,
                    "How many sidebands are detected.")
      .def_readonly("depth", &FamilyEvidence::depth,
                    "Root of the summed squared depths of the detected lines that are its own.")
      .def_readonly("log10_false_alarm", &FamilyEvidence::log10_false_alarm,
                    "log10 of the probability that chance does this anywhere in the search.")
      .def_readonly("band", &FamilyEvidence::band, "Band in which the series is strongest.")
      .def_readonly("strength", &FamilyEvidence::strength, "What the verdict weighs.")
      .def_readonly("channel", &FamilyEvidence::channel, "Channel, or empty where axes are pooled.")
      .def_readonly("remark", &FamilyEvidence::remark,
                    "Ambiguity or limit of resolution; may be empty.")
      .def("__repr__", [](const FamilyEvidence& f) {
        return py::str("<FamilyEvidence {}: {} harmonics detected, strength {:.3g}>")
            .format(std::string{token(f.part)}, f.harmonics_detected, f.strength);
      });
  value_type<Weighed>(m, "BearingEvidence", "All evidence for each part of a bearing.")
      .def_property_readonly(
          "families",
          [](const Weighed& w) {
            std::vector<FamilyEvidence> families;
            for (const PartEvidence& part : w.evidence.parts) {
              families.push_back(to_family(part, w.orders));
              families.back().strength = part.strength;
            }
            return families;
          },
          "A FamilyEvidence for each Part, in that order.")
      .def_property_readonly(
          "whole", [](const Weighed& w) { return w.evidence.whole; },
          "EnvelopeSpectrum of the whole band, pooled over the axes.")
      .def_property_readonly(
          "strongest", [](const Weighed& w) { return w.evidence.strongest; },
          "EnvelopeSpectrum of the band in which the strongest part is.")
      .def_property_readonly(
          "kurtosis", [](const Weighed& w) { return w.evidence.kurtosis; },
          "Largest of the axes, flattened whole band; 0 for Gaussian noise.");
  value_type<Judgement>(m, "Judgement", "Probabilities of one measuring point.")
      .def_readonly("damage", &Judgement::damage, "That the bearing is damaged.")
      .def_property_readonly(
          "part", [](const Judgement& j) { return j.part; }, "By Part; sum at most damage.")
      .def_readonly("strength", &Judgement::strength, "Of all evidence for damage.")
      .def_property_readonly(
          "own_strength", [](const Judgement& j) { return j.own_strength; },
          "By Part: without what a stronger part explains; Diagnosis.families has these.")
      .def_readonly("verdict", &Judgement::verdict, "Fault, no fault or indeterminate.")
      .def_readonly("place", &Judgement::place, "Component that is named.")
      .def_readonly("place_probability", &Judgement::place_probability,
                    "Probability of the named component.");
  m.def(
      "bearing_evidence",
      [](const std::vector<RecordSpectrum>& axes, double shaft_hz, const DefectOrders& orders,
         double tolerance, const std::vector<double>& mains_hz, const py::object& model,
         PlansArgument plans) {
        const ModelParameters constants = model_argument(model);
        if (axes.empty() || !(shaft_hz > 0) || !(tolerance > 0 && tolerance < 0.5))
          throw Failure{{Errc::bad_argument, "bearing_evidence",
                         "needs an axis, a shaft rate above 0 and a tolerance in 0 .. 0.5",
                         "give [flattened(record_spectrum(x, rate_hz), 50)] and the rate in Hz"}};
        Basis basis{{}, constants};
        for (const double f : mains_hz) basis.mains.emplace_back(f);
        const PlansArgument kept = or_fresh(std::move(plans));
        const py::gil_scoped_release released;
        const BandSpectra bands = band_spectra(axes, Hz{shaft_hz}, orders, *kept, constants);
        return Weighed{bearing_evidence(bands, Hz{shaft_hz}, orders, tolerance, basis), orders};
      },
      py::arg("axes"), py::arg("shaft_hz"), py::arg("orders"), py::kw_only(),
      py::arg("tolerance") = 0.02, py::arg("mains_hz") = std::vector<double>{50, 60},
      py::arg("model") = py::none(), py::arg("plans") = py::none(),
      "Weighs every part in every band of the tree.\n\n"
      "axes: flattened RecordSpectrum of equal length and rate, one or more of one measuring\n"
      "point; tolerance: half-width of the search as a fraction, for slip and speed.");
  m.def(
      "judge",
      [](const Weighed& w, double order_resolution, const py::object& model) {
        return judge(w.evidence, w.orders, positive("order_resolution", order_resolution),
                     model_argument(model));
      },
      py::arg("evidence"), py::arg("order_resolution"), py::kw_only(),
      py::arg("model") = py::none(),
      "From evidence to probabilities. order_resolution: width of a line in orders, about 1 over\n"
      "the number of turns recorded.");
}

}  // namespace

void add_evidence(py::module_& m) {
  add_band_spectra(m);
  add_families(m);
}

}  // namespace bearingdsp::python
