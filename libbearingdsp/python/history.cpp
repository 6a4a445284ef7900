#include "bearingdsp/history/forecast.hpp"
#include "value.hpp"

namespace bearingdsp::python {
namespace {

template <class Get>
auto of_reach(Get get) {
  return [get](const Forecast& f) -> std::optional<double> {
    return f.reach ? get(*f.reach) : std::nullopt;
  };
}

}  // namespace

void add_history(py::module_& m) {
  value_type<Forecast>(m, "Forecast",
                       "When a growing level will reach a limit, or why none is said.")
      .def_property_readonly("earliest_days", of_reach([](const ReachRange& r) {
                               return std::optional{r.earliest_days};
                             }),
                             "Not before, days from the last reading; None where nothing is said.")
      .def_property_readonly(
          "likely_days", of_reach([](const ReachRange& r) { return std::optional{r.likely_days}; }),
          "If it goes on growing as it did; None where nothing is said.")
      .def_property_readonly("latest_days",
                             of_reach([](const ReachRange& r) { return r.latest_days; }),
                             "Not after; None where growth may stop before the limit.")
      .def_readonly("probability", &Forecast::probability, "Of the range.")
      .def_readonly("why", &Forecast::why, "What it rests on, or why none is given.");
  m.def(
      "forecast",
      [](const Samples& days, const Samples& level_db, double sigma_db, double limit_db,
         double probability) {
        const auto d = view(days);
        const auto db = view(level_db);
        if (d.size() != db.size())
          throw py::value_error("days and levels are not two equally long lists");
        if (!(probability > 0 && probability < 1))
          throw Failure{{Errc::bad_argument, "probability", "is not between 0 and 1",
                         "give a fraction, as 0.8"}};
        ForecastOptions options;
        options.limit_db = limit_db;
        options.probability = probability;
        return forecast(d, db, positive("sigma_db", sigma_db), options);
      },
      py::arg("days"), py::arg("level_db"), py::arg("sigma_db"), py::kw_only(),
      py::arg("limit_db") = 12.0, py::arg("range_probability") = 0.8,
      "When a level that is given in dB above its baseline reaches limit_db: what `bearingdsp "
      "trend`\n"
      "states (docs/validation/trend.md). It refuses where it would be guessing.");
}

}  // namespace bearingdsp::python
