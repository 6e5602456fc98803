using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Testing;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Anatomy;

public sealed class Jaw_geometry
{
    private static readonly Spot T = new(0, 0), G = new(0, 60);

    [Theory]
    [Source("Project design note on profile geometry, vectors (derived, exact)", at: "90, 120, 180 degrees")]
    [InlineData(80, 60, 90)]
    [InlineData(80, 106.188021535170058, 120)]
    [InlineData(0, 140, 180)]
    public void The_exact_vectors_come_out(double x, double y, double degrees) => Assert.Equal(degrees, JawGeometry.Angle(T, G, new(x, y)), 10);

    [Theory]
    [Source("Euclid; the 3-4-5 triangle, any trigonometry text", at: "36.8699, 53.1301 and 90 degrees")]
    [InlineData(0, 3, 0, 0, 4, 0, 90)]
    [InlineData(0, 3, 4, 0, 0, 0, 36.8698976458440)]
    [InlineData(0, 0, 0, 3, 4, 0, 53.1301023541560)]
    public void The_angles_of_the_3_4_5_triangle_come_out(double ax, double ay, double bx, double by, double cx, double cy, double degrees) =>
        Assert.Equal(degrees, JawGeometry.Angle(new(ax, ay), new(bx, by), new(cx, cy)), 9);

    [Theory]
    [Source("Project design note on profile geometry, vectors (derived)", at: "s = 2: 3.376 and 3.570 degrees")]
    [InlineData(80, 60, 3.376)]
    [InlineData(80, 106.188021535170058, 3.570)]
    public void The_uncertainty_of_the_vectors_comes_out(double x, double y, double sd) => Assert.Equal(sd, JawGeometry.AngleSd(T, G, new(x, y), 2, 2, 2), 3);

    [Theory]
    [InlineData(20261125)]
    public void A_million_misplaced_points_spread_as_the_formulas_say(int seed)
    {
        var random = new Random(seed);
        var m = new Spot(400, 530);
        Spot t = new(0, 0), g = new(0, 300);
        double Normal() => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
        Spot Near(Spot spot, double s) => new(spot.X + s * Normal(), spot.Y + s * Normal());
        var (angles, distances) = (new List<double>(1_000_000), new List<double>(1_000_000));
        for (var i = 0; i < 1_000_000; i++)
        {
            var (a, b, c) = (Near(t, 3), Near(g, 6), Near(m, 3));
            angles.Add(JawGeometry.Angle(a, b, c));
            distances.Add(JawGeometry.FromLine(c, a, b, 0, 0, 0).Value);
        }

        Assert.InRange(Sd(angles) / JawGeometry.AngleSd(t, g, m, 3, 6, 3), 0.99, 1.01);
        Assert.InRange(Sd(distances) / JawGeometry.FromLine(m, t, g, 3, 3, 6).Sd, 0.99, 1.01);
    }

    [Fact]
    public void Mirror_turn_and_scale_change_no_angle()
    {
        var random = new Random(7);
        Spot Any() => new(random.NextDouble() * 1000, random.NextDouble() * 1000);
        for (var i = 0; i < 1000; i++)
        {
            var (a, b, c) = (Any(), Any(), Any());
            var (turn, scale) = (random.NextDouble() * 7, 0.1 + random.NextDouble() * 9);
            Spot Moved(Spot s) => new(-scale * (s.X * Math.Cos(turn) - s.Y * Math.Sin(turn)), scale * (s.X * Math.Sin(turn) + s.Y * Math.Cos(turn)) + 5);
            Assert.Equal(JawGeometry.Angle(a, b, c), JawGeometry.Angle(Moved(a), Moved(b), Moved(c)), 6);
        }
    }

    [Fact]
    public void Points_on_one_another_are_an_error() => Assert.Throws<ArgumentException>(() => JawGeometry.Angle(T, T, G));

    private static double Sd(List<double> values)
    {
        var mean = values.Average();
        return Math.Sqrt(values.Average(v => (v - mean) * (v - mean)));
    }
}
