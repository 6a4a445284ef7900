#include <optional>
#include <tuple>

#include "bearingdsp/bearing/candidates.hpp"
#include "bearingdsp/bearing/catalogue.hpp"
#include "bearingdsp/bearing/estimate.hpp"
#include "bearingdsp/bearing/geometry.hpp"
#include "value.hpp"

namespace bearingdsp::python {
namespace {

constexpr const char* orders_doc =
    "Defect orders: multiples of the rotational frequency of the shaft.\n\n"
    "With the outer ring fixed, whatever the slip: bpfo + bpfi = Z and bpfo = Z ftf. bsf is the\n"
    "spin of one element, not doubled: a damaged element strikes both rings at 2 x bsf.";

DefectOrders given_orders(double bpfo, double bpfi, double bsf, double ftf, int rolling_elements,
                          double relative_uncertainty, std::string source) {
  if (!(ftf > 0 && ftf < bsf && bsf < 1000 && bpfo > 0 && bpfo < bpfi && bpfi < 1000))
    throw Failure{{Errc::bad_argument, "DefectOrders", "these cannot belong to one bearing",
                   "give bpfo < bpfi and ftf < bsf, all above 0 and below 1000"}};
  if (!(relative_uncertainty >= 0 && relative_uncertainty < 1))
    throw Failure{{Errc::bad_argument, "relative_uncertainty", "is not in 0 .. 1",
                   "give a fraction, as 0.02 for 2 %"}};
  if (rolling_elements < 0 || rolling_elements > 10000)
    throw Failure{{Errc::bad_argument, "rolling_elements", "is not a number of elements",
                   "give 0 where it is not known"}};
  DefectOrders orders;
  orders.bpfo = Order{bpfo};
  orders.bpfi = Order{bpfi};
  orders.bsf = Order{bsf};
  orders.ftf = Order{ftf};
  orders.rolling_elements = rolling_elements;
  orders.relative_uncertainty = relative_uncertainty;
  orders.origin = OrdersOrigin::given;
  orders.source = std::move(source);
  return orders;
}

void add_bearing_types(py::module_& m) {
  words(py::enum_<Part>(m, "Part", "Part of a bearing that can carry a defect.")
            .value("outer_ring", Part::outer_ring)
            .value("inner_ring", Part::inner_ring)
            .value("rolling_element", Part::rolling_element)
            .value("cage", Part::cage));
  value_type<BearingGeometry>(m, "BearingGeometry",
                              "Sizes inside one row: number of elements, their diameter and that "
                              "of the pitch circle (same unit, whichever), contact angle in "
                              "degrees.")
      .def(py::init([](int elements, double d, double pitch, double angle) {
             return BearingGeometry{elements, d, pitch, Degrees{angle}};
           }),
           py::arg("rolling_elements"), py::arg("element_diameter"), py::arg("pitch_diameter"),
           py::arg("contact_angle_deg") = 0.0)
      .def_readonly("rolling_elements", &BearingGeometry::rolling_elements,
                    "Number of elements in one row, Z.")
      .def_readonly("element_diameter", &BearingGeometry::element_diameter,
                    "d, in the unit of pitch_diameter.")
      .def_readonly("pitch_diameter", &BearingGeometry::pitch_diameter,
                    "D of the circle through the centres of the elements.")
      .def_property_readonly("contact_angle_deg", number(&BearingGeometry::contact_angle),
                             "Contact angle, degrees.")
      .def("__repr__", [](const BearingGeometry& g) {
        return py::str(
                   "BearingGeometry(rolling_elements={}, element_diameter={}, "
                   "pitch_diameter={}, contact_angle_deg={})")
            .format(g.rolling_elements, g.element_diameter, g.pitch_diameter,
                    g.contact_angle.value());
      });
  value_type<DefectOrders>(m, "DefectOrders", orders_doc)
      .def(py::init(&given_orders), py::arg("bpfo"), py::arg("bpfi"), py::arg("bsf"),
           py::arg("ftf"), py::arg("rolling_elements") = 0, py::arg("relative_uncertainty") = 0.0,
           py::arg("source") = "given by the user",
           "Orders as given; rolling_elements 0 where it is not known.")
      .def_property_readonly("bpfo", number(&DefectOrders::bpfo), "Outer ring, orders.")
      .def_property_readonly("bpfi", number(&DefectOrders::bpfi), "Inner ring, orders.")
      .def_property_readonly("bsf", number(&DefectOrders::bsf), "Element spin, orders.")
      .def_property_readonly("ftf", number(&DefectOrders::ftf), "Cage, orders.")
      .def_readonly("rolling_elements", &DefectOrders::rolling_elements,
                    "Number of elements in a row, Z; 0 where it is not known.")
      .def_readonly("relative_uncertainty", &DefectOrders::relative_uncertainty,
                    "Half-width of the interval that holds the true orders, as a fraction.")
      .def_property_readonly(
          "origin", [](const DefectOrders& o) { return std::string{token(o.origin)}; },
          "Where the orders come from: 'geometry', 'given', 'catalogue' ...")
      .def_readonly("source", &DefectOrders::source,
                    "Who states them: a row of the catalogue, \"given by the user\" ...")
      .def(
          "of", [](const DefectOrders& o, Part part) { return o.of(part).value(); },
          py::arg("part"), "Fundamental order of a defect of the part.")
      .def("uncertainty", &DefectOrders::uncertainty, py::arg("part"),
           "Half-width, as a fraction, for the part.")
      .def("__repr__", [](const DefectOrders& o) {
        return py::str(
                   "DefectOrders(bpfo={:.6g}, bpfi={:.6g}, bsf={:.6g}, ftf={:.6g}, "
                   "rolling_elements={})")
            .format(o.bpfo.value(), o.bpfi.value(), o.bsf.value(), o.ftf.value(),
                    o.rolling_elements);
      });
  value_type<DefectFrequencies>(m, "DefectFrequencies", "The four frequencies at one speed, Hz.")
      .def_property_readonly("bpfo_hz", number(&DefectFrequencies::bpfo), "Outer ring, Hz.")
      .def_property_readonly("bpfi_hz", number(&DefectFrequencies::bpfi), "Inner ring, Hz.")
      .def_property_readonly("bsf_hz", number(&DefectFrequencies::bsf),
                             "Element spin, Hz; not doubled.")
      .def_property_readonly("ftf_hz", number(&DefectFrequencies::ftf), "Cage, Hz.")
      .def("__repr__", [](const DefectFrequencies& f) {
        return py::str(
                   "<DefectFrequencies bpfo {:.6g} Hz, bpfi {:.6g} Hz, bsf {:.6g} Hz, ftf "
                   "{:.6g} Hz>")
            .format(f.bpfo.value(), f.bpfi.value(), f.bsf.value(), f.ftf.value());
      });
  value_type<CatalogueEntry>(m, "CatalogueEntry", "One row of the catalogue with its source.")
      .def_readonly("name", &CatalogueEntry::name, "Designation as in the catalogue.")
      .def_readonly("geometry", &CatalogueEntry::geometry, "mm; None where only orders are known.")
      .def_readonly("orders", &CatalogueEntry::orders, "Defect orders of the row.")
      .def_property_readonly(
          "status", [](const CatalogueEntry& e) { return std::string{token(e.status)}; },
          "How far the row can be trusted: 'user', 'confirmed', 'inferred' or 'memory'.")
      .def_readonly("source", &CatalogueEntry::source, "Where the row is from.")
      .def("__repr__", [](const CatalogueEntry& e) { return "<CatalogueEntry " + e.name + ">"; });
  value_type<BearingCandidate>(m, "BearingCandidate",
                               "One bearing that a designation may stand for.")
      .def_readonly("orders", &BearingCandidate::orders, "Defect orders of this candidate.")
      .def_readonly("weight", &BearingCandidate::weight, "Prior probability; the sum is 1.")
      .def_readonly("basis", &BearingCandidate::basis, "What it rests on, in words.");
}

}  // namespace

void add_bearing(py::module_& m) {
  add_bearing_types(m);
  m.def(
      "defect_orders",
      [](const BearingGeometry& g, double inner, double outer) {
        return take(defect_orders(g, Rotation{inner, outer}));
      },
      py::arg("geometry"), py::arg("inner_turns") = 1.0, py::arg("outer_turns") = 0.0,
      "Defect orders of a geometry, exact for pure rolling; slip comes on top.\n\n"
      "inner_turns, outer_turns: turns of each ring for one revolution of the shaft that orders "
      "refer\n"
      "to. With x = (d/D) cos a and the outer ring fixed: BPFO = Z/2 (1 - x), BPFI = Z/2 (1 + x),\n"
      "BSF = D/(2d) (1 - x^2), FTF = (1 - x)/2 (Randall & Antoni 2011, section 1).\n"
      "Raises BadArgument with the reason for a geometry that cannot be built.");
  m.def("with_slip", &with_slip, py::arg("orders"), py::arg("slip"),
        "Orders as they become when the cage lags by this fraction of its rate, 0 <= slip < 0.5.");
  m.def(
      "at_speed",
      [](const DefectOrders& orders, double rpm) {
        return at_speed(orders, shaft_rate(Rpm{positive("speed_rpm", rpm)}));
      },
      py::arg("orders"), py::arg("speed_rpm"), "The four frequencies at one shaft speed.");
  m.def(
      "bearing_candidates",
      [](const std::string& designation, std::optional<int> rolling_elements,
         std::optional<std::tuple<double, double, double>> sizes_mm) {
        BearingHints hints{rolling_elements, std::nullopt};
        if (sizes_mm)
          hints.sizes = BoundaryDimensions{std::get<0>(*sizes_mm), std::get<1>(*sizes_mm),
                                           std::get<2>(*sizes_mm)};
        return take(bearing_candidates(designation, hints));
      },
      py::arg("designation"), py::kw_only(), py::arg("rolling_elements") = std::nullopt,
      py::arg("sizes_mm") = std::nullopt,
      "What a designation may stand for, the likeliest first, with probabilities: rows of the\n"
      "catalogue, else estimates from type and sizes.\n\n"
      "rolling_elements: counted in a row. sizes_mm: bore, outside diameter, width, measured.");
  m.def(
      "find_bearing",
      [](const std::string& designation) { return take(find_bearing(designation)); },
      py::arg("designation"),
      "All rows of the built-in catalogue that a designation may mean; suffixes that leave the\n"
      "elements as they are are dropped (\"6205-2RS1/C3\"). Raises NotFound with near misses.");
  m.def("variants", &variants, py::arg("rows"),
        "The really different bearings among rows, best documented first: manufacturers put "
        "different\n"
        "elements under one designation.");
  m.def(
      "orders_from_element_count",
      [](int n, bool radial_ball) {
        return take(orders_from_element_count(
            n, radial_ball ? BearingMake::radial_ball : BearingMake::any));
      },
      py::arg("rolling_elements"), py::arg("radial_ball") = false,
      "Estimate from the number of elements in a row alone, with its uncertainty. Raises\n"
      "BadArgument unless 4 <= Z <= 60.");
  m.def(
      "orders_from_boundary",
      [](double bore, double outside, double width) {
        return take(orders_from_boundary({bore, outside, width}));
      },
      py::arg("bore_mm"), py::arg("outside_diameter_mm"), py::arg("width_mm"),
      "Candidates for a single-row radial ball bearing of these boundary dimensions, likeliest\n"
      "number of elements first.");
}

}  // namespace bearingdsp::python
