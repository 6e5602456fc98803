using AftercarePortal.Clinical.Anatomy;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Anatomy;

public sealed class Front_measures
{
    // Two pixels in a millimetre; the patient's left lies on the right of the picture. The left gonion lies 5 mm lower and 3 mm farther out, the chin 2 mm to the left.
    private static readonly Dictionary<Landmark, Spot> Face = new()
    {
        [Landmark.RightEye] = new(210, 200), [Landmark.LeftEye] = new(390, 200), [Landmark.RightGonion] = new(200, 360), [Landmark.LeftGonion] = new(406, 370),
        [Landmark.Menton] = new(304, 460), [Landmark.ScaleFrom] = new(100, 500), [Landmark.ScaleTo] = new(200, 500),
    };

    private static Dictionary<Landmark, Spot> Moved(Func<Spot, Spot> move) => Face.ToDictionary(m => m.Key, m => move(m.Value));

    private static Dictionary<ProfileMeasure, Measured> Of(Dictionary<Landmark, Spot> marks, double? scale = 50) => FrontMeasures.Of(marks, scale).ToDictionary(m => m.Measure);

    [Fact]
    public void A_drawn_face_of_known_truth_gives_it_back()
    {
        var measured = Of(Face);
        Assert.Equal(5, measured[ProfileMeasure.GonionHeightDifference].Value, 9);
        Assert.Equal(3, measured[ProfileMeasure.GonionDistanceDifference].Value, 9);
        Assert.Equal(2, measured[ProfileMeasure.ChinOffMidline].Value, 9);
        Assert.Equal(Math.Sqrt(103 * 103 + 5 * 5), measured[ProfileMeasure.GonionWidth].Value, 9);
        Assert.Equal(Math.Atan2(5, 103) * 180 / Math.PI, measured[ProfileMeasure.GonionTilt].Value, 9);
    }

    [Theory]
    [InlineData(0.3)]
    [InlineData(-1.2)]
    [InlineData(3.0)]
    public void A_tilted_or_mirrored_or_larger_picture_changes_nothing(double turn)
    {
        var straight = Of(Face);
        var (cos, sin) = (Math.Cos(turn), Math.Sin(turn));
        foreach (var other in new[] { Moved(s => new(cos * s.X - sin * s.Y, sin * s.X + cos * s.Y)), Moved(s => new(-s.X, s.Y)), Moved(s => new(3 * s.X, 3 * s.Y)) })
            Assert.All(Of(other), m => Assert.Equal((straight[m.Key].Value, straight[m.Key].Sd), (m.Value.Value, m.Value.Sd), (a, b) => Math.Abs(a.Item1 - b.Item1) < 1e-6 && Math.Abs(a.Item2 - b.Item2) < 1e-5));
    }

    [Fact]
    public void Its_uncertainty_is_what_misplaced_points_give_when_they_are_drawn_at_random()
    {
        var random = new Random(20261125);
        double Normal() => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
        var values = new List<double>();
        for (var i = 0; i < 40_000; i++)
        {
            var marks = Face.ToDictionary(m => m.Key, m =>
            {
                var sd = 2 * (m.Key is Landmark.RightGonion or Landmark.LeftGonion ? ProfileMeasures.GonionMm : ProfileMeasures.OtherMm);
                return m.Key is Landmark.ScaleFrom or Landmark.ScaleTo ? m.Value : new Spot(m.Value.X + sd * Normal(), m.Value.Y + sd * Normal());
            });
            values.Add(FrontMeasures.Of(marks, 50).Single(m => m.Measure is ProfileMeasure.GonionTilt).Value);
        }

        var mean = values.Average();
        var sd = Math.Sqrt(values.Sum(v => (v - mean) * (v - mean)) / values.Count);
        var said = Of(Face)[ProfileMeasure.GonionTilt].Sd;
        Assert.Equal(Math.Sqrt(sd * sd + SideDifference.RepeatSd * SideDifference.RepeatSd), said, said * 0.02);
    }

    [Fact]
    public void A_small_difference_cannot_be_shown_and_a_width_is_no_difference()
    {
        var measured = Of(Face);
        Assert.False(FrontMeasures.CanBeShown(measured[ProfileMeasure.GonionDistanceDifference]));
        Assert.Null(FrontMeasures.CanBeShown(measured[ProfileMeasure.GonionWidth]));
        Assert.True(FrontMeasures.CanBeShown(Of(Face.ToDictionary(m => m.Key, m => m.Key is Landmark.LeftGonion ? new Spot(406, 430) : m.Value))[ProfileMeasure.GonionHeightDifference]));
    }

    [Fact]
    public void Without_a_scale_only_the_tilt_is_said_and_without_a_gonion_nothing()
    {
        Assert.Equal([ProfileMeasure.GonionTilt], Of(Face, null).Keys);
        Assert.Empty(Of(Face.Where(m => m.Key is not Landmark.LeftGonion).ToDictionary()));
        Assert.Throws<ArgumentException>(() => Of(Face, 0));
        Assert.Throws<ArgumentException>(() => Of(Face.ToDictionary(m => m.Key, m => m.Key is Landmark.LeftEye ? Face[Landmark.RightEye] : m.Value)));
    }
}
