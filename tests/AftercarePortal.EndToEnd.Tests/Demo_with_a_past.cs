namespace AftercarePortal.EndToEnd.Tests;

/// <summary>The demo clinic with a year of invented cases.</summary>
public sealed class Demo_with_a_past : Demo_in_a_browser
{
    protected override bool WithPast => true;
}
