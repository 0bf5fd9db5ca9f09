#include "figure/contour.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>

#include "core/contract.h"

namespace greywright::figure {
namespace {

/// A grid whose nodes may lie anywhere on their row and column.
struct Mesh {
    std::vector<double> x;
    std::vector<double> y;
    std::vector<double> values;

    [[nodiscard]] std::size_t node(std::size_t column, std::size_t row) const {
        return row * x.size() + column;
    }
    [[nodiscard]] double value(std::size_t column, std::size_t row) const {
        return values[node(column, row)];
    }
};

std::vector<double> evenly(Range range, std::size_t count) {
    std::vector<double> at(count);
    for (std::size_t i = 0; i < count; ++i) {
        const double t = static_cast<double>(i) / static_cast<double>(count - 1);
        at[i] = range.low * (1 - t) + range.high * t;
    }
    return at;
}

Mesh meshOf(const Grid& grid) {
    expects(grid.columns >= 2 && grid.rows >= 2, "a contour grid has at least 2 columns and 2 rows");
    expects(grid.values.size() == grid.columns * grid.rows, "a contour grid has columns x rows values");
    return {evenly(grid.x, grid.columns), evenly(grid.y, grid.rows), grid.values};
}

/// The mesh with one more node all round, on the same places as its edge but far below every level, so that
/// every line closes along the edge.
Mesh walled(const Mesh& mesh) {
    const auto padded = [](const std::vector<double>& at) {
        std::vector<double> out{at.front()};
        out.insert(out.end(), at.begin(), at.end());
        out.push_back(at.back());
        return out;
    };
    Mesh out{padded(mesh.x), padded(mesh.y), {}};
    out.values.assign(out.x.size() * out.y.size(), -std::numeric_limits<double>::infinity());
    for (std::size_t row = 0; row < mesh.y.size(); ++row) {
        for (std::size_t column = 0; column < mesh.x.size(); ++column) {
            const double value = mesh.value(column, row);
            if (std::isfinite(value)) out.values[out.node(column + 1, row + 1)] = value;
        }
    }
    return out;
}

/// A side between two neighbouring nodes: twice the number of its lower left node, plus one for an upright
/// side.
using Side = std::size_t;
using Neighbours = std::array<Side, 2>;
constexpr Side kNone = std::numeric_limits<Side>::max();
using Graph = std::map<Side, Neighbours>;

void connect(Graph& graph, Side a, Side b) {
    for (const auto& [from, to] : {std::pair{a, b}, std::pair{b, a}}) {
        Neighbours& ends = graph.try_emplace(from, Neighbours{kNone, kNone}).first->second;
        (ends[0] == kNone ? ends[0] : ends[1]) = to;
    }
}

/// Where the sides of each cell are crossed, and which crossings belong together.
Graph crossings(const Mesh& mesh, double level, bool skipHoles) {
    Graph graph;
    for (std::size_t row = 0; row + 1 < mesh.y.size(); ++row) {
        for (std::size_t column = 0; column + 1 < mesh.x.size(); ++column) {
            // Anticlockwise from the lower left; side i runs from corner i to corner i + 1.
            const std::array<double, 4> corner{mesh.value(column, row), mesh.value(column + 1, row),
                                               mesh.value(column + 1, row + 1), mesh.value(column, row + 1)};
            if (skipHoles && !std::ranges::all_of(corner, [](double v) { return std::isfinite(v); }))
                continue;
            const std::array<Side, 4> side{2 * mesh.node(column, row), 2 * mesh.node(column + 1, row) + 1,
                                           2 * mesh.node(column, row + 1), 2 * mesh.node(column, row) + 1};
            std::array<bool, 4> above{};
            for (std::size_t i = 0; i < 4; ++i) above[i] = corner[i] >= level;
            std::array<std::size_t, 4> crossed{};
            std::size_t count = 0;
            for (std::size_t i = 0; i < 4; ++i) {
                if (above[i] != above[(i + 1) % 4]) crossed[count++] = i;
            }
            if (count == 2) connect(graph, side[crossed[0]], side[crossed[1]]);
            if (count == 4) {
                // Corners like the centre are joined through it; the lines cut off the other two corners.
                const bool centreAbove = (corner[0] + corner[1] + corner[2] + corner[3]) / 4 >= level;
                const bool cutsFirst = above[0] != centreAbove;
                connect(graph, side[0], side[cutsFirst ? 3 : 1]);
                connect(graph, side[2], side[cutsFirst ? 1 : 3]);
            }
        }
    }
    return graph;
}

XY placeOf(const Mesh& mesh, double level, Side side) {
    const std::size_t node = side / 2;
    const std::size_t column = node % mesh.x.size();
    const std::size_t row = node / mesh.x.size();
    const bool upright = side % 2 == 1;
    const std::size_t column2 = column + (upright ? 0 : 1);
    const std::size_t row2 = row + (upright ? 1 : 0);
    const double v1 = mesh.value(column, row);
    const double v2 = mesh.value(column2, row2);
    double t = (level - v1) / (v2 - v1);
    if (!std::isfinite(v1)) t = 1;
    if (!std::isfinite(v2)) t = 0;
    t = std::clamp(t, 0.0, 1.0);
    return {mesh.x[column] * (1 - t) + mesh.x[column2] * t, mesh.y[row] * (1 - t) + mesh.y[row2] * t};
}

/// Follows the graph from `start` and takes out what it walks over.
ContourLine walk(Graph& graph, const Mesh& mesh, double level, Side start) {
    ContourLine line;
    Side at = start;
    Side from = kNone;
    while (at != kNone) {
        const auto found = graph.find(at);
        if (found == graph.end()) {
            line.closed = at == start;
            break;
        }
        const Neighbours ends = found->second;
        graph.erase(found);
        const XY place = placeOf(mesh, level, at);
        if (line.points.empty() || !(line.points.back() == place)) line.points.push_back(place);
        const Side next = ends[0] == from ? ends[1] : ends[0];
        from = at;
        at = next;
    }
    if (line.closed && line.points.size() > 1 && line.points.front() == line.points.back()) {
        line.points.pop_back();
    }
    return line;
}

std::vector<ContourLine> chains(const Mesh& mesh, double level, bool skipHoles) {
    Graph graph = crossings(mesh, level, skipHoles);
    std::vector<ContourLine> lines;
    const auto take = [&](Side start) {
        ContourLine line = walk(graph, mesh, level, start);
        if (line.points.size() > 1) lines.push_back(std::move(line));
    };
    std::vector<Side> openEnds;
    for (const auto& [side, ends] : graph) {
        if (ends[1] == kNone) openEnds.push_back(side);
    }
    for (const Side side : openEnds) {
        if (graph.contains(side)) take(side);
    }
    while (!graph.empty()) take(graph.begin()->first);
    return lines;
}

}  // namespace

std::vector<ContourLine> contourLines(const Grid& grid, double level) {
    return chains(meshOf(grid), level, true);
}

std::vector<std::vector<XY>> contourRegion(const Grid& grid, double level) {
    std::vector<std::vector<XY>> rings;
    for (ContourLine& line : chains(walled(meshOf(grid)), level, false)) {
        if (line.points.size() > 2) rings.push_back(std::move(line.points));
    }
    return rings;
}

}  // namespace greywright::figure
