using Xunit;
using Xunit.Abstractions;

[assembly: TestCollectionOrderer("AftercarePortal.Web.Tests.Longest_first", "AftercarePortal.Web.Tests")]

namespace AftercarePortal.Web.Tests;

/// <summary>Tests that run for minutes begin first: begun last, one of two processors would stand still for as long.</summary>
public sealed class Longest_first : ITestCollectionOrderer
{
    private static readonly string[] Long = ["Simulation_of_bad_nights", "Killed_and_started_again", "Two_machines_on_one_database"];

    public IEnumerable<ITestCollection> OrderTestCollections(IEnumerable<ITestCollection> testCollections) =>
        testCollections.OrderBy(c => Array.FindIndex(Long, name => c.DisplayName.Contains(name, StringComparison.Ordinal)) is >= 0 and var place ? place : Long.Length);
}
