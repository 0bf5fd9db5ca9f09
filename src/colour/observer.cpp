#include "colour/observer.h"

#include <utility>

#include "colour/tables.h"

namespace greywright::colour {
namespace {

Observer fromTable(std::string name, const tables::Table& table) {
    const auto column = [&](std::size_t i) {
        return std::vector<double>(table.column(i).begin(), table.column(i).end());
    };
    return {.name = std::move(name), .xBar = column(0), .yBar = column(1), .zBar = column(2)};
}

}  // namespace

const Observer& observer(ObserverName name) {
    static const Observer cie1931 = fromTable("CIE 1931, 2 degrees", tables::cie1931Observer);
    static const Observer cie1964 = fromTable("CIE 1964, 10 degrees", tables::cie1964Observer);
    return name == ObserverName::cie1964 ? cie1964 : cie1931;
}

}  // namespace greywright::colour
