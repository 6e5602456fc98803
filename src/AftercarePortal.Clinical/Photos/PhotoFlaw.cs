namespace AftercarePortal.Clinical.Photos;

/// <summary>What may make a photo of little use. A reason to offer another try, never to refuse it.</summary>
public enum PhotoFlaw { TooDark, TooBright, Blurred, TooSmall }
