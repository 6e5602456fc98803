using AftercarePortal.Clinical.Pricing;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Pricing;

public sealed class Costs_of_units
{
    public static TheoryData<int> Seeds => [1, 2, 3, 4, 5, 6, 7, 8];

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Are_those_of_the_cheapest_of_all_ways_tried_one_by_one(int seed)
    {
        var (first, next, packages) = Invented(seed);
        var costs = new UnitCosts(first, next, packages, 12);
        Assert.Equal(0, costs[0]);
        for (var n = 1; n <= 12; n++) Assert.Equal(Ways(n, false).Min(), costs[n]);

        // Every way to have so many: a single unit or any package, then the rest.
        IEnumerable<long> Ways(int units, bool begun)
        {
            if (units <= 0) return [0];
            var single = begun ? next : first;
            return Ways(units - 1, true).Select(rest => single + rest).Concat(packages.SelectMany(p => Ways(units - p.Units, true).Select(rest => p.Price + rest)));
        }
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Never_fall_when_more_is_needed_never_rise_by_a_package_and_name_what_they_are_made_of(int seed)
    {
        var (first, next, packages) = Invented(seed);
        UnitCosts costs = new(first, next, packages, 60), singles = new(first, next, [], 60);
        for (var n = 1; n <= 60; n++)
        {
            Assert.True(costs[n] >= costs[n - 1] && costs[n] <= singles[n]);
            var charged = costs.PackagesIn(n);
            var left = Math.Max(0, n - charged.Sum(k => packages[k].Units));
            // Beside packages each unit costs what a further one does; the first by itself only where that is no dearer.
            long[] singly = left == 0 ? [0] : charged.Count == 0 ? [first + (left - 1) * next] : [left * next, first + (left - 1) * next];
            Assert.Contains(costs[n] - charged.Sum(k => packages[k].Price), singly);
        }
    }

    [Fact]
    public void Without_packages_are_those_of_the_list()
    {
        var costs = new UnitCosts(60000, 50000, [], 400);
        for (var n = 1; n <= 400; n++) Assert.Equal(60000 + (n - 1) * 50000L, costs[n]);
        Assert.Empty(costs.PackagesIn(400));
    }

    [Fact]
    public void A_package_is_charged_from_the_count_on_where_it_costs_less_and_as_often_as_it_fits()
    {
        var costs = new UnitCosts(60000, 60000, [new(3, 165000)], 7);
        Assert.Equal([0, 60000, 120000, 165000, 225000, 285000, 330000, 390000], Enumerable.Range(0, 8).Select(n => costs[n]));
        Assert.Equal([0, 0], costs.PackagesIn(7));
        Assert.Empty(costs.PackagesIn(2));
    }

    [Fact]
    public void Of_two_packages_that_overlap_the_cheapest_lot_is_taken_and_of_two_alike_the_first()
    {
        var costs = new UnitCosts(100, 100, [new(3, 280), new(4, 350), new(4, 350)], 8);
        // Six: twice three (560), or four and two (550).
        Assert.Equal(550, costs[6]);
        Assert.Equal([1], costs.PackagesIn(6));
        Assert.Equal([1, 1], costs.PackagesIn(8));
    }

    [Fact]
    public void A_package_dearer_than_its_parts_or_larger_than_what_is_needed_is_never_charged()
    {
        UnitCosts dear = new(100, 100, [new(3, 301)], 9), large = new(100, 100, [new(40, 3000)], 9);
        for (var n = 0; n <= 9; n++)
        {
            Assert.Equal((n * 100, n * 100), (dear[n], large[n]));
            Assert.Empty(dear.PackagesIn(n));
            Assert.Empty(large.PackagesIn(n));
        }
    }

    private static (long First, long Next, UnitPackage[] Packages) Invented(int seed)
    {
        var random = new Random(seed);
        var (first, next) = (random.Next(50, 150), random.Next(50, 150));
        return (first, next, [.. Enumerable.Range(0, 1 + seed % 3).Select(_ => random.Next(2, 6)).Select(units => new UnitPackage(units, units * random.Next(30, 110)))]);
    }
}
