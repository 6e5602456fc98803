using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Testing;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Anatomy;

[Source("Project design note on profile geometry (derived)", at: "lengths, scale, camera turned by 10 degrees, left and right")]
public sealed class Profile_measures
{
    // A drawn profile of known truth: 2 pixels a mm, 120 degrees at the corner, ramus 60 mm.
    private static readonly Dictionary<Landmark, Spot> Drawn = new()
    {
        [Landmark.Tragus] = new(0, 0), [Landmark.Gonion] = new(0, 120), [Landmark.Menton] = new(160, 212.376043070340116), [Landmark.Pogonion] = new(170, 190),
        [Landmark.Cervical] = new(80, 260), [Landmark.Neck] = new(80, 400), [Landmark.ScaleFrom] = new(0, 500), [Landmark.ScaleTo] = new(100, 500),
    };

    private static Measured Of(ProfileMeasure measure, double? scale = 50, Dictionary<Landmark, Spot>? marks = null) =>
        ProfileMeasures.Of(marks ?? Drawn, scale).Single(m => m.Measure == measure);

    [Fact]
    public void A_drawing_of_known_truth_is_measured_as_it_was_drawn()
    {
        Assert.Equal(120, Of(ProfileMeasure.GonialAngle).Value, 9);
        Assert.Equal(60, Of(ProfileMeasure.RamusLength).Value, 9);
        Assert.Equal(92.3760430703401, Of(ProfileMeasure.BodyLength).Value, 9);
        Assert.Equal(85, Of(ProfileMeasure.ChinProjection).Value, 9);
        Assert.Equal(92.3760430703401 / 60, Of(ProfileMeasure.BodyToRamus).Value, 9);
    }

    [Fact]
    public void Without_a_scale_there_are_angles_and_a_ratio_and_no_millimetres() =>
        Assert.Equal(
            [ProfileMeasure.GonialAngle, ProfileMeasure.BodyToRamus, ProfileMeasure.CervicomentalAngle],
            ProfileMeasures.Of(Drawn, null).Select(m => m.Measure));

    [Fact]
    public void The_corner_is_the_hardest_to_place_and_widens_the_range() =>
        Assert.Equal(JawGeometry.AngleSd(Drawn[Landmark.Tragus], Drawn[Landmark.Gonion], Drawn[Landmark.Menton], 2, 4, 2), Of(ProfileMeasure.GonialAngle).Sd, 9);

    [Fact]
    public void A_turned_head_is_told_beside_the_value()
    {
        // tan of the arm below the horizontal shrinks by cos 10°: 90 + atan(cos 10° · tan 30°) degrees.
        Assert.Equal(90 + Math.Atan(Math.Cos(Math.PI / 18) * Math.Tan(Math.PI / 6)) * 180 / Math.PI, Of(ProfileMeasure.GonialAngle).IfTurned!.Value, 9);
    }

    [Fact]
    public void The_uncertainty_of_the_scale_widens_lengths() =>
        Assert.Equal(Math.Sqrt(4 + 1 + 60d * 60 * 2 / (50 * 50)), Of(ProfileMeasure.RamusLength).Sd, 9);

    [Fact]
    public void Landmarks_on_one_another_are_named()
    {
        var marks = new Dictionary<Landmark, Spot>(Drawn) { [Landmark.Menton] = Drawn[Landmark.Gonion] };
        Assert.Equal((Landmark.Gonion, Landmark.Menton), ProfileMeasures.Coincident(marks));
        Assert.Contains("Gonion and Menton", Assert.Throws<ArgumentException>(() => ProfileMeasures.Of(marks, null)).Message);
    }

    [Theory]
    [InlineData(126, 120, 0.5, true)]
    [InlineData(126, 120, 2, false)]
    [InlineData(125.9, 120, 0.1, false)]
    [InlineData(130, 120, 5, false)]
    public void A_difference_is_shown_only_when_photos_can_show_it(double left, double right, double sd, bool shown) =>
        Assert.Equal(shown, SideDifference.Of(new(ProfileMeasure.GonialAngle, left, sd, left), new(ProfileMeasure.GonialAngle, right, sd, right)).CanBeShown);

    [Fact]
    public void Every_norm_says_where_it_stands() =>
        Assert.All(Web.ContentFiles.ContentLibrary.Load(Web.ContentFiles.ContentLibrary.Folder).Norms, norm => Assert.Matches("seen|memory|no source", norm.Source));
}
